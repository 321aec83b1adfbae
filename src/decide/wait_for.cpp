#include "decide/wait_for.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "decide/switching.hpp"
#include "decide/variants.hpp"
#include "estimate/measured.hpp"
#include "line/shown_moments.hpp"
#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"
#include "tank/landed_distribution.hpp"
#include "tank/within_risk.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Limit;
using line::ArrivalCases;
using line::Line;

/// Gives each case the chance that its reading is at `reading` or beyond, from the sensor's error
/// that nothing else of the case depends on: its bias, or else its noise.
class Triggers {
 public:
  Triggers(const Line& line, const Limit& target)
      : sign_(target.sign()),
        sensor_(line.inputs().scenario().sensor),
        bias_(line.inputs()[line.inputs().slot(scenario::Uncertain::bias)]),
        by_bias_(bias_.uncertain && !line.inputs().by_reading()) {}

  Shares shares(const ArrivalCases& cases, double reading, std::size_t stride) const {
    const std::size_t each = cases.size() / cases.blocks;
    Shares shares{std::vector<double>(cases.blocks), std::vector<double>(cases.blocks)};
    std::vector<double> x;
    for (std::size_t b = 0; b < cases.blocks; ++b) {
      // First what is shown by the time of arrival, then the most that is ever shown.
      for (const bool early : {true, false}) {
        x.clear();
        for (std::size_t i = b * each; i < (b + 1) * each; i += stride) {
          x.push_back(needed(cases, i, reading, early));
        }
        beyond(x);
        const double mean = numeric::sum(x) / static_cast<double>(x.size());
        (early ? shares.early : shares.ever)[b] = mean;
      }
    }
    return shares;
  }

 private:
  /// The error, bias or noise, that it takes; −infinity: any will do, by indicator.
  double needed(const ArrivalCases& cases, std::size_t i, double reading, bool early) const {
    const double most = sign_ * std::max(sign_ * cases.old[i], sign_ * cases.settled[i]);
    const double shown = early ? cases.seen[i] : most;
    const double noise = sensor_.noise_sd * cases.noise[i];
    // The display rounds to the nearest step.
    const double target = sign_ * reading - 0.5 * sensor_.step - sign_ * shown;
    if (by_bias_) return target - sign_ * noise;
    return target - sign_ * cases.bias[i];
  }

  /// x becomes the chance that sign × error is at least x.
  void beyond(std::vector<double>& x) const {
    if (by_bias_) {
      if (sign_ > 0.0) return distributions::complement(bias_.law, x, x);
      for (double& value : x) value = -value;
      return distributions::cdf_below(bias_.law, x, x);
    }
    if (sensor_.noise_sd > 0.0) {
      for (double& value : x) value = std::clamp(-value / sensor_.noise_sd, -40.0, 40.0);
      return numeric::normal_cdf(x, x);
    }
    constexpr double k_tie = 1e-12;
    for (double& value : x) value = value <= k_tie ? 1.0 : 0.0;
  }

  double sign_;
  const scenario::Sensor& sensor_;
  const sampling::Input& bias_;
  bool by_bias_;
};

void add_moments(const Line& line, const Limit& target, const estimate::Options& options,
                 WaitFor& result) {
  constexpr std::uint64_t k_cases = 2048;
  const scenario::Sensor& sensor = line.inputs().scenario().sensor;
  const double raw = *result.reading - target.sign() * 0.5 * sensor.step;
  estimate::Options single = options;
  single.method = estimate::Method::conditional;
  const line::ShownMoments moments = line::moments_shown(line, {target.side, raw}, k_cases, single);
  const auto middle = [](std::vector<double> values) -> std::optional<std::array<double, 3>> {
    if (values.size() < 100) return {};
    const auto all = tank::quantiles_of(values);
    return std::array<double, 3>{all[1], all[2], all[3]};
  };
  result.burn_l = middle(moments.burn_l);
  if (line.has_rates()) result.time_s = middle(moments.time_s);
}

/// The search for the step of the display nearest to the limit that is within the risk.
class ReadingSearch {
 public:
  ReadingSearch(const Line& line, const Limit& target, const ArrivalCases& cases)
      : risk_(line.inputs().scenario().limits.accepted_risk),
        cases_(&cases),
        step_(step_of(line.inputs().scenario().sensor)),
        readings_(target, step_),
        triggers_(line, target) {}

  void look_at(const ArrivalCases& cases) { cases_ = &cases; }

  /// The number of the first step that is within the risk by its standard error; none where there
  /// is no such step that enough cases show.
  std::optional<int> run() const {
    const auto [low, high] = bracket();
    for (int k = first_within(low, high); readings_.possible(k); ++k) {
      const Shares all = shares(k, 1);
      if (!enough(all)) break;
      if (excess(all, 1.0) <= 0.0) return k;
    }
    return {};
  }

  /// From step k on the first whose chance itself is within the risk.
  std::optional<int> confirmed(int k) const {
    for (int tries = 0; tries <= k_most_steps && readings_.possible(k); ++tries, ++k) {
      const Shares all = shares(k, 1);
      if (!enough(all)) break;
      if (excess(all, 0.0) <= 0.0) return k;
    }
    return {};
  }

  /// The first and the last step about k whose chance is within two standard errors of the risk; k
  /// itself where there is no other.
  std::pair<int, int> alike(int k) const {
    int first = k;
    int last = k;
    const auto in_question = [this](int at, double sign) {
      const Shares all = shares(at, 1);
      return enough(all) && sign * excess(all, sign * 2.0) > 0.0;
    };
    while (first > 0 && k - first < k_most_steps && in_question(first - 1, -1.0)) --first;
    while (readings_.possible(last + 1) && last - k < k_most_steps && in_question(last, 1.0)) {
      ++last;
    }
    return {first, last};
  }

  /// The step with the least chance among those that enough cases show, where none is within the
  /// risk: whether that is within two standard errors of it.
  bool nearly() const {
    const int stride = std::max(1, static_cast<int>(std::lround(0.01 / step_)));
    for (int k = 0; readings_.possible(k); k += stride) {
      const Shares all = shares(k, 1);
      if (!enough(all)) return false;
      if (excess(all, -2.0) <= 0.0) return true;
    }
    return false;
  }

  double reading(int k) const { return readings_.at(k); }
  Shares shares(int k, std::size_t every) const {
    return triggers_.shares(*cases_, readings_.at(k), every);
  }

 private:
  /// The chance, so many standard errors added, less the risk.
  double excess(const Shares& all, double errors) const {
    const double error = errors == 0.0 ? 0.0 : errors * all.estimate().standard_error;
    return all.ratio() + error - risk_ * tank::k_rounding;
  }
  static bool enough(const Shares& all) { return all.ever_share() >= k_too_few; }

  /// A step that is not within the risk and, about 1 % further out, one that is, by every fourth
  /// case.
  std::pair<int, int> bracket() const {
    constexpr std::size_t k_every = 4;
    const int stride = std::max(1, static_cast<int>(std::lround(0.01 / step_)));
    int low = 0;
    int high = 0;
    // Never on the wrong side of the limit, even where a sensor that is behind or reads low would
    // allow it: a lag that is shorter than thought would leave no guard at all.
    if (excess(shares(0, k_every), 0.0) <= 0.0) return {-1, 0};
    for (;;) {
      low = high;
      high += stride;
      if (!readings_.possible(high)) return {low, high};
      const Shares all = shares(high, k_every);
      if (excess(all, 0.0) <= 0.0 || !enough(all)) return {low, high};
    }
  }

  /// The first step within the risk after one that is not, by all cases.
  int first_within(int low, int high) const {
    return numeric::first_step(low, high, [this](int step) {
      return readings_.possible(step) && excess(shares(step, 1), 1.0) <= 0.0;
    });
  }

  double risk_;
  const ArrivalCases* cases_;
  double step_;
  Readings readings_;
  Triggers triggers_;
};

double scenario_risk(const Line& line) {
  return line.inputs().scenario().limits.accepted_risk;
}

/// Lifts the chance of being too early at step k to what measured inputs bear. With an input at an
/// end both the cases that show the reading and those too early are others: what those add to the
/// ratio is told by its linearisation.
void bear(const Line& line, const Limit& target, const estimate::Options& options,
          const Shares& here, int k, estimate::Estimate& too_early) {
  const estimate::Options few = estimate::at_ends(options);
  const auto at = [&](const scenario::Scenario& at_end, const estimate::Options&) {
    const sampling::CaseInputs ends(at_end, sampling::Scope::line);
    const Line there(ends);
    const ArrivalCases cases = line::follow_cases(there, target, *few.cases, few, 1);
    const Shares then = ReadingSearch(there, target, cases).shares(k, 1);
    const double more = Shares::all(then.early) - here.ratio() * then.ever_share();
    estimate::Estimate one;
    one.chance = std::max(0.0, here.ratio() + more / here.ever_share());
    return std::vector{one};
  };
  estimate::lift(line.inputs(), std::array{&too_early}, options, at);
}

/// Searches by `cases`, and by more of them while more than two steps of the display are in
/// question; confirms by fresh ones.
void search_reading(const Line& line, const Limit& target, const ArrivalCases& cases,
                    const estimate::Options& options, WaitFor& result) {
  constexpr std::uint64_t k_most_cases = std::uint64_t{1} << 18U;
  const auto followed = [&](std::uint64_t count, std::uint64_t round) {
    return line::follow_cases(line, target, count, options, round);
  };
  ReadingSearch search(line, target, cases);
  std::uint64_t count = cases.size();
  ArrivalCases more;
  std::optional<int> found = search.run();
  const auto in_question = [&] {
    if (!found) return search.nearly();
    const auto [first, last] = search.alike(*found);
    return last - first > 2;
  };
  while (options.method != estimate::Method::crude && 4 * count <= k_most_cases && in_question()) {
    count *= 4;
    more = followed(count, 0);
    search.look_at(more);
    found = search.run();
  }
  const bool nearly = !found && search.nearly();
  const ArrivalCases fresh = followed(count, 1);
  search.look_at(fresh);
  if (found) found = search.confirmed(*found);
  if (!found) {
    result.why_none = nearly ? NoReading::nearly : NoReading::hardly_shown;
    return;
  }
  const Shares again = search.shares(*found, 1);
  const auto [first, last] = search.alike(*found);
  result.reading = search.reading(*found);
  result.alike = {search.reading(first), search.reading(last)};
  result.too_early = again.estimate();
  result.triggers = again.ever_share();
  bear(line, target, options, again, *found, result.too_early);
  if (result.too_early.few_values && result.too_early.chance > scenario_risk(line)) {
    result.reading.reset();
    result.why_none = NoReading::few_values;
  }
}

}  // namespace

WaitFor solve_wait_for(const Line& line, const Limit& target, const ArrivalCases& cases,
                       const estimate::Options& options) {
  WaitFor result;
  std::size_t start_outside = 0;
  for (std::size_t i = 0; i < cases.size(); ++i)
    start_outside += cases.out_from[i] <= 0.0 ? 1U : 0U;
  if (static_cast<double>(start_outside) < k_too_few * static_cast<double>(cases.size())) {
    result.why_none = NoReading::within_already;
    return result;
  }
  search_reading(line, target, cases, options, result);
  if (!result.reading) return result;
  result.guard_band = target.sign() * (*result.reading - target.value) + 0.0;
  add_moments(line, target, options, result);
  return result;
}

}  // namespace blendrisk::decide
