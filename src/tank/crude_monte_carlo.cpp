#include "tank/crude_monte_carlo.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "estimate/interval.hpp"
#include "estimate/limit.hpp"
#include "estimate/parallel.hpp"
#include "models/infinity.hpp"
#include "numeric/target_clones.hpp"
#include "sampling/joint_sampler.hpp"
#include "scenario/told.hpp"
#include "tank/known.hpp"
#include "tank/landed_distribution.hpp"
#include "tank/linear_blend.hpp"

namespace blendrisk::tank {
namespace {

using estimate::Limit;
using estimate::Side;
using sampling::Slot;

constexpr std::size_t k_batch = 1024;
constexpr std::uint64_t k_block = 16 * k_batch;  // cases with a stream of their own
constexpr std::uint64_t k_wave_blocks = 1024;    // blocks between two words on progress
constexpr std::uint64_t k_kept = 1U << 18U;      // landed contents for the quantiles
constexpr std::uint64_t k_pilot = k_block;
constexpr std::uint64_t k_pilot_hits = 100;

/// Of one batch of contents.
struct Tally {
  double below = 0.0, above = 0.0, sum = 0.0, sum_of_squares = 0.0;
};

constexpr std::size_t k_lanes = 8;

// Counts in doubles, which vectorise like the sums; exact below 2⁵³.
BLENDRISK_CLONES void tally_loop(const double* x, double low, double high, Tally* tally,
                                 std::size_t n) {
  std::array<double, k_lanes> below{};
  std::array<double, k_lanes> above{};
  std::array<double, k_lanes> sum{};
  std::array<double, k_lanes> squares{};
  const std::size_t whole = n - n % k_lanes;
  const auto add = [&](std::size_t lane, double value) __attribute__((always_inline)) {
    const double off = value - 0.5;
    below[lane] += value < low ? 1.0 : 0.0;
    above[lane] += value > high ? 1.0 : 0.0;
    sum[lane] += off;
    squares[lane] += off * off;
  };
  for (std::size_t i = 0; i < whole; i += k_lanes) {
    for (std::size_t lane = 0; lane < k_lanes; ++lane) add(lane, x[i + lane]);
  }
  for (std::size_t i = whole; i < n; ++i) add(i - whole, x[i]);
  for (std::size_t lane = 0; lane < k_lanes; ++lane) {
    tally->below += below[lane];
    tally->above += above[lane];
    tally->sum += sum[lane];
    tally->sum_of_squares += squares[lane];
  }
}

/// Counts one block at a time.
class Counter {
 public:
  Counter(const sampling::CaseInputs& inputs, const sampling::Stream& stream)
      : inputs_(inputs),
        landing_(inputs, {}),
        sampler_(sampling::sampler_of_all(inputs)),
        stream_(stream),
        batch_(inputs, k_batch),
        columns_(k_batch) {}

  Counts count(std::uint64_t block, std::uint64_t cases, std::span<double> contents) {
    sampling::Xoshiro points(stream_.of_part(block));
    Counts counts;
    counts.drawn = cases;
    for (std::uint64_t from = 0; from < cases; from += k_batch) {
      const std::size_t n = std::min<std::uint64_t>(k_batch, cases - from);
      sampler_.draw_crude(points, n, batch_);
      landing_.evaluate(batch_, n, columns_);
      if (inputs_.weighted()) choose(points, n);
      const std::size_t kept = keep(columns_.a(), n);
      add(n, counts);
      if (!contents.empty()) {
        std::copy_n(columns_.a(), kept, contents.subspan(counts.cases).begin());
      }
      counts.cases += kept;
    }
    return counts;
  }

 private:
  /// The cases of the batch that agree with what is known.
  void choose(sampling::Xoshiro& points, std::size_t n) {
    chosen_.clear();
    u_.resize(k_batch);
    points.fill(u_);
    for (std::size_t i = 0; i < n; ++i) {
      if (u_[i] < columns_.weight()[i]) chosen_.push_back(i);
    }
  }

  /// Moves the chosen to the front. @return how many
  std::size_t keep(double* x, std::size_t n) const {
    if (!inputs_.weighted()) return n;
    for (std::size_t k = 0; k < chosen_.size(); ++k) x[k] = x[chosen_[k]];
    return chosen_.size();
  }

  /// Of a batch whose contents are those kept already.
  void add(std::size_t n, Counts& counts) {
    const scenario::Scenario& scenario = inputs_.scenario();
    const auto tally_of = [](const double* x, double low, double high, std::size_t count) {
      Tally result;
      tally_loop(x, low, high, &result, count);
      return result;
    };
    const auto tally = [&](double* x, double low, double high) {
      return tally_of(x, low, high, keep(x, n));
    };
    const Tally landed = tally_of(
        columns_.a(), Limit{Side::below, scenario.limits.minimum.value_or(-k_infinity)}.compared(),
        Limit{Side::above, scenario.limits.maximum.value_or(k_infinity)}.compared(),
        inputs_.weighted() ? chosen_.size() : n);
    counts.below += static_cast<std::uint64_t>(landed.below);
    counts.above += static_cast<std::uint64_t>(landed.above);
    counts.sum += landed.sum;
    counts.sum_of_squares += landed.sum_of_squares;
    if (scenario.fills.back().amount_l && !scenario.fills.back().shown_l) {
      const double over = tally(columns_.short_l(), -k_infinity, k_tie_l).above;
      counts.clicked_off += static_cast<std::uint64_t>(over);
    }
    const double floor = scenario.tank.pickup_floor_l;
    if (floor > 0.0) {
      double* lowest = inputs_.fills() == 1 ? columns_.heel() : lowest_heels(n);
      counts.run_dry += static_cast<std::uint64_t>(tally(lowest, floor, k_infinity).below);
    }
  }

  /// The volumes once more, keeping the lowest heel before any fill.
  double* lowest_heels(std::size_t n) {
    lowest_.assign(k_batch, k_infinity);
    for (std::size_t fill = 0; fill < inputs_.fills(); ++fill) {
      landing_.fill_volumes(batch_, fill, n, columns_);
      for (std::size_t i = 0; i < n; ++i) lowest_[i] = std::min(lowest_[i], columns_.heel()[i]);
    }
    return lowest_.data();
  }

  const sampling::CaseInputs& inputs_;
  LinearBlend landing_;
  sampling::JointSampler sampler_;
  sampling::Stream stream_;
  sampling::CaseBatch batch_;
  estimate::BlendColumns columns_;
  std::vector<double> lowest_, u_;
  std::vector<std::size_t> chosen_;
};

void fold(Counts& all, const Counts& part) {
  all.drawn += part.drawn;
  all.cases += part.cases;
  all.below += part.below;
  all.above += part.above;
  all.run_dry += part.run_dry;
  all.clicked_off += part.clicked_off;
  all.sum += part.sum;
  all.sum_of_squares += part.sum_of_squares;
}

/// Cases that bring the chance seen in a pilot to the relative precision, with a little to spare.
double cases_for(std::uint64_t hits, std::uint64_t cases, double precision) {
  const double chance = static_cast<double>(hits) / static_cast<double>(cases);
  return 1.05 * (1.0 - chance) / chance / (precision * precision);
}

bool reached(std::uint64_t hits, std::uint64_t cases, double precision) {
  if (hits == 0) return false;
  const double chance = static_cast<double>(hits) / static_cast<double>(cases);
  return std::sqrt((1.0 - chance) / static_cast<double>(hits)) <= precision;
}

/// The final run: sized by pilots that grow until they see enough, under other numbers.
Counts count_to_precision(const sampling::CaseInputs& inputs, const estimate::Options& options,
                          const estimate::Progress& progress, std::uint64_t most,
                          std::uint64_t& pilots) {
  const auto run = [&](std::uint64_t cases, std::uint64_t round) {
    return count_cases(inputs, cases, options.seed, round, options.threads, progress);
  };
  std::uint64_t size = k_pilot;
  std::uint64_t round = 1;
  while (true) {
    const Counts pilot = run(size, round++);
    const std::uint64_t hits = pilot.below + pilot.above;
    pilots += pilot.drawn;
    if (hits < k_pilot_hits && size < most / 16) {
      size *= 8;
      continue;
    }
    if (hits == 0) return run(most, 0);
    const double kept = static_cast<double>(pilot.cases) / static_cast<double>(size);
    const double wanted = cases_for(hits, pilot.cases, options.precision) / kept;
    // The most at once, and then some: a pilot's error is not to leave the precision just missed.
    const double spare = 1.0 + 2.0 / std::sqrt(static_cast<double>(hits));
    const auto cases = static_cast<std::uint64_t>(
        std::clamp(wanted * spare, static_cast<double>(k_pilot), static_cast<double>(most)));
    return run(cases, 0);
  }
}

}  // namespace

Counts count_cases(const sampling::CaseInputs& inputs, std::uint64_t cases, std::uint64_t seed,
                   std::uint64_t round, unsigned threads, const estimate::Progress& progress) {
  const sampling::Stream stream(seed, sampling::Purpose::crude, round);
  const std::uint64_t blocks = (cases + k_block - 1) / k_block;
  Counts all;
  all.first.resize(std::min(cases, k_kept));
  std::vector<Counts> parts;
  std::size_t kept = 0;
  for (std::uint64_t from = 0; from < blocks; from += k_wave_blocks) {
    parts.assign(std::min(k_wave_blocks, blocks - from), {});
    estimate::in_parallel(parts.size(), threads, [&] {
      return [&, counter = Counter(inputs, stream)](std::size_t unit) mutable {
        const std::uint64_t block = from + unit;
        const std::uint64_t begin = block * k_block;
        const std::uint64_t n = std::min(k_block, cases - begin);
        std::span<double> contents;
        if (begin < all.first.size()) contents = std::span(all.first).subspan(begin, n);
        parts[unit] = counter.count(block, n, contents);
      };
    });
    for (std::size_t unit = 0; unit < parts.size(); ++unit) {
      fold(all, parts[unit]);
      // The kept ones of each block follow those of the one before.
      const std::size_t begin = (from + unit) * k_block;
      if (begin >= all.first.size()) continue;
      const auto block = all.first.begin() + static_cast<std::ptrdiff_t>(begin);
      const auto count = static_cast<std::ptrdiff_t>(parts[unit].cases);
      if (kept < begin)
        std::copy(block, block + count, all.first.begin() + static_cast<std::ptrdiff_t>(kept));
      kept += parts[unit].cases;
    }
    if (progress) progress(all.drawn, cases);
  }
  all.first.resize(kept);
  return all;
}

estimate::ChanceResult crude_chance(const sampling::CaseInputs& inputs,
                                    const estimate::Options& options,
                                    const estimate::Progress& progress, std::uint64_t most) {
  const scenario::Scenario& scenario = inputs.scenario();
  const scenario::Limits& limits = scenario.limits;
  chance_of_known(inputs, options);  // whether there is anything to count
  std::uint64_t pilots = 0;
  Counts counts = options.cases ? count_cases(inputs, *options.cases, options.seed, 0,
                                              options.threads, progress)
                                : count_to_precision(inputs, options, progress, most, pilots);
  estimate::ChanceResult result;
  const std::uint64_t n = counts.cases;
  if (inputs.weighted()) {
    require_any(inputs, static_cast<double>(n));
    if (scenario::any_shown(scenario)) result.learned = learned(inputs, {}, options.seed);
  }
  const auto all = static_cast<double>(n);
  const double mean = counts.sum / all;
  result.landed.mean = 0.5 + mean;
  result.landed.standard_deviation =
      std::sqrt(std::max(0.0, counts.sum_of_squares / all - mean * mean));
  result.landed.quantiles = quantiles_of(counts.first);
  if (limits.minimum) result.below_minimum = estimate::clopper_pearson(counts.below, n);
  if (limits.maximum) result.above_maximum = estimate::clopper_pearson(counts.above, n);
  result.outside = estimate::clopper_pearson(counts.below + counts.above, n);
  result.run_dry = scenario.tank.pickup_floor_l > 0.0 ? estimate::clopper_pearson(counts.run_dry, n)
                                                      : estimate::exact_estimate(0.0);
  if (scenario.fills.back().amount_l && !scenario.fills.back().shown_l) {
    result.clicked_off_early = estimate::clopper_pearson(counts.clicked_off, n);
  }
  result.effort.methods.crude = true;
  result.effort.stop = !options.cases && reached(counts.below + counts.above, n, options.precision)
                           ? estimate::Stop::precision_reached
                           : estimate::Stop::budget_spent;
  result.effort.evaluations = counts.drawn + pilots;
  return result;
}

}  // namespace blendrisk::tank
