#include "decide/heel.hpp"

#include <algorithm>
#include <cmath>

#include "decide/acceptable.hpp"
#include "decide/variants.hpp"
#include "estimate/integrands.hpp"

namespace blendrisk::decide {
namespace {

scenario::Scenario as_filled(const scenario::Scenario& scenario) {
  return scenario.fills.size() == 1 ? one_fill_to_click_off(scenario) : scenario;
}

Acceptable readings(const scenario::Scenario& filled, const Put& put, std::uint64_t seed,
                    const Effort& effort, std::uint64_t& evaluations) {
  estimate::CommonPoints points(filled, seed, effort.grid);
  Acceptable found =
      acceptable(points, put, 0.0, filled.tank.capacity_l, filled.limits.accepted_risk, effort);
  evaluations += points.evaluations();
  return found;
}

/// The chance at a reading, under points of its own and well within the precision.
estimate::ChanceResult fresh(scenario::Scenario filled, double indicated_l,
                             const estimate::Options& options) {
  put_indicated(filled, indicated_l);
  return estimate::estimate_chance(filled, options);
}

double dry_chance(scenario::Scenario scenario, double indicated_l) {
  scenario.fills.resize(1);
  put_indicated(scenario, indicated_l);
  return estimate::chance_dry_by_gauge(scenario);
}

}  // namespace

std::optional<double> lowest_reading(const scenario::Scenario& scenario, double step_l) {
  const double risk = scenario.limits.dry_risk;
  // The chance falls as the reading rises: bisection on the steps of the display.
  double low = -1.0;
  double high = std::floor(scenario.tank.capacity_l / step_l);
  if (dry_chance(scenario, high * step_l) > risk) return {};
  while (high - low > 1.0) {
    const double middle = std::floor(0.5 * (low + high));
    (dry_chance(scenario, middle * step_l) <= risk ? high : low) = middle;
  }
  return rounded_up(high * step_l, step_l);
}

std::optional<double> highest_reading(const scenario::Scenario& scenario,
                                      const estimate::Options& options, double step_l,
                                      std::uint64_t& evaluations, const Effort& effort) {
  const scenario::Scenario filled = as_filled(scenario);
  const Acceptable found = readings(filled, put_indicated, options.seed, effort, evaluations);
  for (std::size_t i = found.spans.size(); i-- > 0;) {
    const double shown = rounded_down(found.spans[i].high, step_l);
    if (shown >= found.spans[i].low) return std::max(shown, 0.0);
  }
  return {};
}

std::optional<double> highest_second_reading(const scenario::Scenario& scenario,
                                             const estimate::Options& options, double step_l,
                                             std::uint64_t& evaluations) {
  const scenario::Scenario two = two_fills_to_click_off(scenario, 0.0);
  const Put put = [](scenario::Scenario& at, double x) { at.fills.back().indicated_l = x; };
  const Acceptable found = readings(two, put, options.seed, {}, evaluations);
  if (found.spans.empty()) return {};
  const double shown = rounded_down(found.spans.back().high, step_l);
  if (shown < found.spans.back().low) return {};
  return std::max(shown, 0.0);
}

HeelResult solve_heel(const scenario::Scenario& scenario, const estimate::Options& options,
                      double step_l) {
  HeelResult result;
  const scenario::Scenario filled = as_filled(scenario);
  const scenario::Limits& limits = scenario.limits;
  result.lowest_indicated_l = lowest_reading(scenario, step_l);
  result.highest_indicated_l = highest_reading(scenario, options, step_l, result.evaluations);
  std::uint64_t exact_cases = 0;
  result.nominal_highest_l = highest_reading(at_means(scenario), options, step_l, exact_cases);
  const double risk = limits.accepted_risk;
  if (result.highest_indicated_l) {
    // The search's own points may be a hair too kind.
    double& highest = *result.highest_indicated_l;
    const auto too_high = [&] {
      scenario::Scenario at = filled;
      put_indicated(at, highest);
      const auto outside = estimate::estimate_outside(at, for_solving(options));
      result.evaluations += outside.evaluations;
      return outside.estimate.chance > risk;
    };
    for (int tries = 0; tries < k_most_steps && highest >= step_l && too_high(); ++tries) {
      highest = rounded_down(highest - step_l, step_l);
    }
    result.at_highest = fresh(filled, highest, options);
    result.evaluations += result.at_highest->evaluations;
  }
  if (!result.lowest_indicated_l) {
    result.reason =
        "no reading up to the capacity keeps the chance of running dry within the dry risk";
    return result;
  }
  if (result.highest_indicated_l && *result.highest_indicated_l >= *result.lowest_indicated_l) {
    result.window = {*result.lowest_indicated_l, *result.highest_indicated_l};
    return result;
  }
  const estimate::ChanceResult at_lowest = fresh(filled, *result.lowest_indicated_l, options);
  result.evaluations += at_lowest.evaluations;
  result.risk_at_lowest = at_lowest.outside.chance;
  if (result.highest_indicated_l) {
    result.dry_risk_at_highest = dry_chance(scenario, *result.highest_indicated_l);
    result.reason =
        "the highest reading within the accepted risk is below the lowest within the dry risk";
  } else {
    result.reason = "no reading, not even an empty tank, meets the accepted risk";
  }
  if (scenario.fills.size() == 1) {
    scenario::Scenario from_lowest = scenario;
    put_indicated(from_lowest, *result.lowest_indicated_l);
    const auto second = highest_second_reading(from_lowest, options, step_l, result.evaluations);
    if (second && *second >= *result.lowest_indicated_l) result.second_highest_l = second;
  }
  return result;
}

}  // namespace blendrisk::decide
