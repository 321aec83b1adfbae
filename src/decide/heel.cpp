#include "decide/heel.hpp"

#include <algorithm>
#include <cmath>

#include "decide/feasible_set.hpp"
#include "decide/nearest.hpp"
#include "decide/variants.hpp"
#include "numeric/solve.hpp"
#include "sampling/question.hpp"
#include "scenario/way.hpp"
#include "tank/within_risk.hpp"

namespace blendrisk::decide {
namespace {

/// No tank of this many kilometres ends the search.
constexpr long k_farthest_km = 1L << 20U;
constexpr double k_nothing_l = 1e-6;

/// Of readings at the pump.
scenario::Scenario as_filled(const scenario::Scenario& scenario) {
  return scenario::at_pump(scenario.fills.size() == 1 ? one_fill_to_click_off(scenario) : scenario);
}

/// The chance at a reading, under points of its own and well within the precision.
estimate::ChanceResult fresh(scenario::Scenario filled, double indicated_l,
                             const estimate::Options& options) {
  put_indicated(filled, indicated_l);
  return tank::estimate_chance(filled, options);
}

/// Readings of a search, moved inwards until fresh estimates agree.
/// @param lowest_too  else the lowest stays as it was found
std::optional<ReadingRange> confirmed(ReadingRange found, const scenario::Scenario& filled,
                                      const Put& put, const estimate::Options& options,
                                      double step_l, bool lowest_too, estimate::SidesNearby* nearby,
                                      estimate::Effort& effort) {
  sampling::Question question(filled);
  const auto is_within = [&](double reading) {
    put(question.numbers(), reading);
    const auto within = tank::outside_within_risk(question.inputs(), for_solving(options), nearby);
    effort.evaluations += within.effort.evaluations;
    return within.value;
  };
  const auto highest = nearest_within(found.highest, found.lowest, step_l, is_within);
  if (!highest) return {};
  found.highest = *highest;
  if (lowest_too && found.lowest > 0.0 && found.lowest < found.highest) {
    // The highest will do.
    found.lowest =
        nearest_within(found.lowest, found.highest, step_l, is_within).value_or(found.highest);
  }
  return found;
}

/// Readings of the scenario as it is filled, put where `put` does: the span that reaches highest.
/// @param ends  all, or the highest where the other is not asked for
estimate::Found<std::optional<ReadingRange>> within_risk(
    const scenario::Scenario& filled, const Put& put, const estimate::Options& options,
    double step_l, const SearchSize& size, Ends ends, estimate::SidesNearby* nearby = nullptr) {
  tank::CommonRandomNumbers points(filled, options.seed, size.grid, nearby);
  const Acceptable found = acceptable(points, put, 0.0, filled.tank.capacity_l, step_l,
                                      filled.limits.accepted_risk, size, ends);
  estimate::Effort effort{.evaluations = points.evaluations()};
  const bool all = ends == Ends::all;
  for (std::size_t i = found.spans.size(); i-- > 0;) {
    ReadingRange shown{std::max(rounded_up(found.spans[i].low, step_l), 0.0),
                       rounded_down(found.spans[i].high, step_l)};
    // The end that was not asked for is somewhere below.
    if (!all) shown.lowest = std::max(std::min(shown.lowest, shown.highest), 0.0);
    if (!(shown.lowest <= shown.highest)) continue;
    const auto sure = confirmed(shown, filled, put, options, step_l, all, nearby, effort);
    if (sure || all) return {sure, effort};
    break;
  }
  if (all || found.spans.empty()) return {{}, effort};
  auto sure = within_risk(filled, put, options, step_l, size, Ends::all, nearby);
  sure.effort += effort;
  return sure;
}

}  // namespace

double dry_chance(scenario::Scenario scenario, const estimate::Options& options,
                  double indicated_l) {
  return tank::estimate_run_dry(scenario::read_at_pump(std::move(scenario), indicated_l),
                                for_solving(options))
      .chance;
}

std::optional<double> lowest_reading(const scenario::Scenario& scenario,
                                     const estimate::Options& options, double step_l) {
  sampling::Question question(scenario::at_pump(scenario));
  const auto is_dry = [&](double reading) {
    put_indicated(question.numbers(), reading);
    return !tank::dry_within_risk(question.inputs(), for_solving(options));
  };
  // The chance falls as the reading rises.
  const auto within = [&](long step) { return !is_dry(static_cast<double>(step) * step_l); };
  const auto most = static_cast<long>(std::floor(scenario.tank.capacity_l / step_l));
  if (!within(most)) return {};
  return rounded_up(static_cast<double>(numeric::first_step(-1L, most, within)) * step_l, step_l);
}

estimate::Found<std::optional<ReadingRange>> readings_within_risk(
    const scenario::Scenario& scenario, const estimate::Options& options, double step_l,
    const SearchSize& size) {
  return within_risk(as_filled(scenario), put_indicated, options, step_l, size, Ends::all);
}

estimate::Found<std::optional<double>> highest_reading(const scenario::Scenario& scenario,
                                                       const estimate::Options& options,
                                                       double step_l,
                                                       estimate::SidesNearby* nearby) {
  const auto found =
      within_risk(as_filled(scenario), put_indicated, options, step_l, {}, Ends::highest, nearby);
  return {found.value ? std::optional(found.value->highest) : std::nullopt, found.effort};
}

estimate::Found<std::optional<double>> highest_second_reading(const scenario::Scenario& scenario,
                                                              const estimate::Options& options,
                                                              double step_l) {
  const scenario::Scenario two = two_fills_to_click_off(scenario, 0.0);
  const Put put = [](scenario::Scenario& at, double x) { at.fills.back().indicated_l = x; };
  const auto found = within_risk(two, put, options, step_l, {}, Ends::all);
  return {found.value ? std::optional(found.value->highest) : std::nullopt, found.effort};
}

namespace {

/// Why there is no window, and what would have to give.
void explain(const scenario::Scenario& scenario, const scenario::Scenario& filled,
             const estimate::Options& options, double step_l, HeelResult& result) {
  if (!result.lowest_indicated_l) {
    result.why_none = NoWindow::dry;
    if (result.highest_indicated_l) {
      result.dry_risk_at_highest = dry_chance(scenario, options, *result.highest_indicated_l);
    }
    return;
  }
  scenario::Scenario at_lowest = filled;
  put_indicated(at_lowest, *result.lowest_indicated_l);
  const auto outside = tank::estimate_outside(at_lowest, for_solving(options));
  result.effort.evaluations += outside.effort.evaluations;
  result.risk_at_lowest = outside.estimate.chance;
  if (result.highest_indicated_l) {
    result.dry_risk_at_highest = dry_chance(scenario, options, *result.highest_indicated_l);
  }
  result.why_none = result.highest_indicated_l ? NoWindow::apart : NoWindow::outside;
  if (scenario.fills.size() == 1) {
    const auto second = highest_second_reading(
        scenario::read_at_pump(scenario, *result.lowest_indicated_l), options, step_l);
    result.effort.evaluations += second.effort.evaluations;
    if (second.value >= result.lowest_indicated_l) result.second_highest_l = second.value;
  }
}

/// How far to drive until the gauge shows `reading_l`, and how far within the dry risk.
Drive drive_of(const scenario::Scenario& scenario, const estimate::Options& options,
               const std::optional<double>& reading_l) {
  Drive drive;
  const distributions::Distribution& economy = *scenario.engine.economy;
  if (reading_l) {
    drive.median_km = std::max(scenario.heel.indicated_l - *reading_l, 0.0) /
                      distributions::quantile(economy, 0.5);
  }
  const auto dry_after = [&](long km) {
    scenario::Scenario there = scenario;
    there.heel.to_pump = distributions::exact(static_cast<double>(km));
    // Where the pickup floor is not known, to an empty tank.
    there.tank.pickup_floor_l = std::max(there.tank.pickup_floor_l, k_nothing_l);
    return tank::estimate_run_dry(there, for_solving(options)).chance > scenario.limits.dry_risk;
  };
  if (dry_after(0)) return drive;
  // More than a tank can take it.
  long far = 1;
  while (far < k_farthest_km && !dry_after(far)) far *= 2;
  if (far >= k_farthest_km) return drive;
  drive.farthest_km = static_cast<double>(numeric::first_step(far / 2, far, dry_after) - 1);
  return drive;
}

}  // namespace

HeelResult solve_heel(const scenario::Scenario& scenario, const estimate::Options& options,
                      double step_l) {
  require_to_plan(scenario);
  HeelResult result;
  result.effort.methods = methods_of_solving(scenario, options);
  const scenario::Scenario filled = as_filled(scenario);
  result.lowest_indicated_l = lowest_reading(scenario, options, step_l);
  if (const auto nominal =
          readings_within_risk(scenario::at_means(scenario), options, step_l).value) {
    result.nominal_highest_l = nominal->highest;
  }
  const auto within = readings_within_risk(scenario, options, step_l);
  result.effort.evaluations += within.effort.evaluations;
  const auto& found = within.value;
  if (found) {
    result.highest_indicated_l = found->highest;
    if (found->lowest > 0.0) result.lowest_for_limits_l = found->lowest;
    result.at_highest = fresh(filled, found->highest, for_solving(options));
    result.effort.evaluations += result.at_highest->effort.evaluations;
  }
  if (found && result.lowest_indicated_l && found->highest >= *result.lowest_indicated_l) {
    result.window = {std::max(found->lowest, *result.lowest_indicated_l), found->highest};
  } else {
    explain(scenario, filled, options, step_l, result);
    const auto lowest = lowest_reading(scenario::at_means(scenario), options, step_l);
    result.window_at_means = lowest && result.nominal_highest_l.value_or(-1.0) >= *lowest;
  }
  if (scenario::is_on_the_way(scenario)) {
    result.drive = drive_of(scenario, options, result.highest_indicated_l);
  }
  return result;
}

}  // namespace blendrisk::decide
