#include "decide/drivers.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "decide/cells.hpp"
#include "decide/fill.hpp"
#include "decide/heel.hpp"
#include "decide/variants.hpp"
#include "scenario/told.hpp"
#include "tank/chance.hpp"
#include "tank/landed_sensitivity.hpp"
#include "tank/linear_blend.hpp"

namespace blendrisk::decide {
namespace {

using scenario::Scenario;

/// Of a chance that nothing is decided by, and that may have to be counted once per input.
constexpr std::uint64_t k_most_counted_if_known = std::uint64_t{1} << 20U;

/// What one scenario asks for.
struct Asked {
  std::optional<double> amount_l, heel_l;
  estimate::Estimate outside;
  estimate::Effort effort;
};

Asked ask(const Scenario& scenario, const estimate::Options& options, double step_l,
          double gauge_step_l, std::uint64_t most_counted) {
  Asked asked;
  const auto outside = tank::estimate_outside(scenario, options, most_counted);
  asked.outside = outside.estimate;
  asked.effort.methods = methods_of_solving(scenario, options);
  asked.effort += outside.effort;
  if (scenario::any_shown(scenario)) return asked;
  // Both as finely as fill and heel.
  const auto amount = safe_amount(scenario, options, step_l);
  const auto readings = readings_within_risk(scenario, options, gauge_step_l);
  asked.amount_l = amount.value;
  if (readings.value) asked.heel_l = readings.value->highest;
  for (const auto& one : {amount.effort, readings.effort}) asked.effort += one;
  return asked;
}

/// Where a fill is done, an input at its mean may be what the figure excludes: then nothing is
/// known of its chance.
Asked ask_if_known(const Scenario& scenario, const estimate::Options& options, double step_l,
                   double gauge_step_l) {
  try {
    return ask(scenario, options, step_l, gauge_step_l, k_most_counted_if_known);
  } catch (const estimate::ImpossibleScenario& why) {
    if (why.why != estimate::Impossible::figure) throw;
    Asked asked;
    asked.outside.chance = std::numeric_limits<double>::quiet_NaN();
    return asked;
  }
}

std::optional<double> difference(const std::optional<double>& a, const std::optional<double>& b,
                                 double step_l) {
  if (!a || !b) return {};
  return rounded(*a - *b, step_l);
}

}  // namespace

Drivers find_drivers(const Scenario& scenario, const estimate::Options& options, double step_l,
                     double gauge_step_l) {
  const sampling::CaseInputs inputs(scenario);
  tank::require_fuel(inputs);
  const bool done = scenario::any_shown(scenario);
  if (!done) require_to_plan(scenario);
  const tank::LandedSensitivity sensitivity =
      done ? tank::without_indices(inputs) : tank::landed_sensitivity(inputs, options.seed);
  const std::size_t count = sensitivity.slots.size();
  const auto known = [&](std::size_t i) {
    const std::size_t slot = sensitivity.slots[i];
    return scenario::known_at(scenario, inputs.key(slot), distributions::mean(inputs[slot].law));
  };
  // The first cell is the scenario as it is.
  const auto cells = cells_of<Asked>(
      0, count + 1, options, {}, [&](std::size_t cell, const estimate::Options& single) {
        if (cell == 0) {
          return ask(scenario, single, step_l, gauge_step_l, tank::k_most_counted);
        }
        return ask_if_known(known(cell - 1), single, step_l, gauge_step_l);
      });
  const Asked& now = cells.front();
  Drivers drivers;
  drivers.safe_amount_l = now.amount_l;
  drivers.highest_heel_l = now.heel_l;
  drivers.outside = now.outside;
  drivers.effort.evaluations = sensitivity.evaluations;
  for (const Asked& one : cells) drivers.effort += one.effort;
  for (std::size_t i = 0; i < count; ++i) {
    Driver driver;
    driver.key = inputs.key(sensitivity.slots[i]);
    driver.indices = sensitivity.indices[i];
    const Asked& then = cells[i + 1];
    driver.safe_amount_l = then.amount_l;
    driver.highest_heel_l = then.heel_l;
    driver.margin_saved_l = difference(now.amount_l, then.amount_l, step_l);
    driver.heel_gained_l = difference(then.heel_l, now.heel_l, gauge_step_l);
    driver.chance = then.outside.chance;
    drivers.inputs.push_back(driver);
  }
  const auto worth = [done](const Driver& driver) {
    // An amount where there was none is worth more than any saving.
    const bool opens = driver.safe_amount_l && !driver.margin_saved_l;
    // Of a fill that is done only the chance is left to gain.
    const double chance = std::isfinite(driver.chance) ? driver.chance : 2.0;
    return std::tuple(opens ? 1 : 0, driver.margin_saved_l.value_or(0.0),
                      driver.heel_gained_l.value_or(0.0),
                      done ? -chance : driver.indices.total.value);
  };
  std::stable_sort(drivers.inputs.begin(), drivers.inputs.end(),
                   [&](const Driver& a, const Driver& b) { return worth(a) > worth(b); });
  return drivers;
}

}  // namespace blendrisk::decide
