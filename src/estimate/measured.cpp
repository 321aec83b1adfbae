#include "estimate/measured.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/interval.hpp"
#include "estimate/parallel.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::CaseInputs;

/// An engine that burns nothing at all never gets anywhere [L/s].
constexpr double k_hardly_burning = 1e-6;
/// Points of the own law at an end, which do where they tell its chance.
constexpr std::array<std::uint64_t, 2> k_rough_at_ends{1024, 8192};

std::array<double, 2> ends_of(const scenario::Scenario& scenario, const scenario::Key& key,
                              const distributions::Distribution& law) {
  const distributions::Steps steps = law.law().steps();
  // What may be given, of volumes no more than the tank takes.
  auto [low, high] = std::array{key.range.low, key.range.high};
  if (key.dimension == units::Dimension::volume && low >= 0.0) high = scenario.tank.capacity_l;
  if (key.dimension == units::Dimension::rate && key.range.open) low = k_hardly_burning;
  return {std::min(std::max(steps.low, low), lowest(law)),
          std::max(std::min(steps.high, high), highest(law))};
}

/// The one that a chance is held against a risk by.
double told_value(const Estimate& estimate) {
  return estimate.upper_bound_only ? estimate.interval[1] : estimate.chance;
}

/// Whether a chance at an end is known well enough: to a part of itself, or to add less than counts
/// beside the one that is told even where the points of the own law may have missed some.
bool is_known(const Estimate& at_end, const MeasuredInput& input, double told, double counts,
              std::uint64_t cases) {
  if (!at_end.upper_bound_only && at_end.standard_error <= k_known_at_ends * at_end.chance) {
    return true;
  }
  const double most = at_end.interval[1] + 2.0 * at_end.standard_error + unseen_in(cases);
  return added(input, told, {most, most}) < counts;
}

/// What several measured inputs may add, with its error.
struct Sum {
  double chance = 0.0, variance = 0.0;

  void add(const MeasuredInput& input, const Estimate& told, const Estimate& low,
           const Estimate& high) {
    chance += added(input, told.chance, {low.chance, high.chance});
    const double error = input.share() * (low.chance > high.chance ? low : high).standard_error;
    variance += error * error;
  }
};

Options by_own_law(const Options& options, std::uint64_t cases) {
  Options few = at_ends(options);
  few.importance_sampling = false;
  few.cases = cases;
  return few;
}

/// What an end has to add to count: of several, a tenth of what all surely add or all of the chance
/// that is told, whichever is more.
/// @param there  the chances at the ends, roughly, those of an input one after the other
std::vector<double> what_counts(const std::vector<MeasuredInput>& measured,
                                std::span<Estimate* const> told,
                                const std::vector<std::vector<Estimate>>& there) {
  std::vector<double> counts;
  for (std::size_t i = 0; i < told.size(); ++i) {
    const double chance = told_value(*told[i]);
    const auto surely = [i](const std::vector<Estimate>& at) {
      return std::max(at[i].chance - 2.0 * at[i].standard_error, 0.0);
    };
    double sum = 0.0;
    for (std::size_t k = 0; k < measured.size(); ++k) {
      sum += added(measured[k], chance, {surely(there[2 * k]), surely(there[2 * k + 1])});
    }
    counts.push_back(std::max(chance, 0.1 * sum) / static_cast<double>(measured.size()));
  }
  return counts;
}

}  // namespace

std::vector<MeasuredInput> measured_inputs(const CaseInputs& inputs) {
  std::vector<MeasuredInput> found;
  for (std::size_t slot = 0; slot < inputs.size(); ++slot) {
    const std::size_t values = inputs[slot].law.law().steps().values;
    if (values == 0 || !inputs[slot].uncertain) continue;
    found.push_back({{inputs.key(slot), values},
                     ends_of(inputs.scenario(), *inputs[slot].key, inputs[slot].law)});
  }
  return found;
}

double most_added(std::span<const MeasuredInput> inputs) {
  double most = 0.0;
  for (const MeasuredInput& input : inputs) most += input.share();
  return most;
}

scenario::Scenario at_end(const scenario::Scenario& scenario, const MeasuredInput& input,
                          std::size_t end) {
  const double score = numeric::normal_quantile(0.5 * input.share());
  return scenario::known_at(scenario, input.key, input.ends[end], end == 0 ? score : -score);
}

double added(const MeasuredInput& input, double chance, const std::array<double, 2>& at_ends) {
  const double worse = std::max(at_ends[0], at_ends[1]);
  if (!(worse > chance)) return 0.0;
  // In full from three times the chance on: beyond that it can decide what is told.
  return input.share() * worse * std::min(1.0, 1.5 * (1.0 - chance / worse));
}

Options at_ends(const Options& options) {
  Options few;
  few.seed = options.seed;
  few.threads = options.threads;
  few.cases = std::uint64_t{1} << 13U;
  return few;
}

double lift(const CaseInputs& inputs, std::span<Estimate* const> told, const Options& options,
            const ChancesAt& at) {
  const std::vector<MeasuredInput> measured = measured_inputs(inputs);
  const double most = most_added(measured);
  const auto is_small = [&](const Estimate* one) { return told_value(*one) < most; };
  if (std::none_of(told.begin(), told.end(), is_small)) return 0.0;
  const auto scenario_at = [&](std::size_t unit) {
    return at_end(inputs.scenario(), measured[unit / 2], unit % 2);
  };
  const std::size_t ends = 2 * measured.size();
  std::vector<std::vector<Estimate>> there(ends);
  const auto look = [&](const auto& chances) {
    in_parallel(ends, options.threads, [&] { return chances; });
  };
  // Of a fill that is done a few points do not tell what is known.
  const std::uint64_t first = k_rough_at_ends.front();
  look([&](std::size_t unit) {
    const bool done = inputs.weighted();
    there[unit] = at(scenario_at(unit), done ? at_ends(options) : by_own_law(options, first));
  });
  if (!inputs.weighted()) {
    const std::vector<double> counts = what_counts(measured, told, there);
    const auto are_known = [&](std::size_t unit, std::uint64_t cases) {
      for (std::size_t i = 0; i < told.size(); ++i) {
        const double chance = told_value(*told[i]);
        const Estimate& one = there[unit][i];
        if (chance < most && !is_known(one, measured[unit / 2], chance, counts[i], cases)) {
          return false;
        }
      }
      return true;
    };
    look([&](std::size_t unit) {
      for (const std::uint64_t cases : k_rough_at_ends) {
        if (cases > first) there[unit] = at(scenario_at(unit), by_own_law(options, cases));
        if (are_known(unit, cases)) return;
      }
      there[unit] = at(scenario_at(unit), at_ends(options));
    });
  }
  std::vector<Sum> sums(told.size());
  for (std::size_t k = 0; k < measured.size(); ++k) {
    for (std::size_t i = 0; i < told.size(); ++i) {
      sums[i].add(measured[k], *told[i], there[2 * k][i], there[2 * k + 1][i]);
    }
  }
  double share = 0.0;
  for (std::size_t i = 0; i < told.size(); ++i) {
    const double least = std::min(sums[i].chance, 1.0);
    if (least > 0.0) share = std::max(share, least / told_value(*told[i]));
    if (!(told_value(*told[i]) < least)) continue;
    *told[i] = {least, std::sqrt(sums[i].variance), {0.0, least}, true, true};
  }
  return share;
}

}  // namespace blendrisk::estimate
