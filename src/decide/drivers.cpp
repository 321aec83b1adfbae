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
#include "tank/conditional.hpp"
#include "tank/landed_sensitivity.hpp"
#include "tank/linear_blend.hpp"

namespace blendrisk::decide {
namespace {

using scenario::Scenario;

/// Of chances that may have to be counted, once per input.
constexpr std::uint64_t k_most_counted_if_known = std::uint64_t{1} << 20U;

/// What one scenario asks for.
struct Asked {
  std::optional<double> amount_l, heel_l;
  estimate::Estimate outside;
  estimate::Effort effort;
};

/// What all its scenarios are asked alike.
struct Asking {
  estimate::Options options;
  double step_l, gauge_step_l;
};

/// @param nearby  fits of the scenario as it is: put there by that, and taken by the others
Asked ask(const Scenario& scenario, const Asking& asking, estimate::SidesNearby& nearby) {
  const estimate::Options& options = asking.options;
  Asked asked;
  tank::FittedSides fitted(&nearby);
  const auto outside = tank::estimate_outside(sampling::CaseInputs(scenario), options, &fitted);
  asked.outside = outside.estimate;
  asked.effort.methods = methods_of_solving(scenario, options);
  asked.effort += outside.effort;
  if (scenario::any_shown(scenario)) return asked;
  // Both as finely as fill and heel.
  const auto amount = safe_amount(scenario, options, asking.step_l, &nearby);
  const auto reading = highest_reading(scenario, options, asking.gauge_step_l, &nearby);
  asked.amount_l = amount.value;
  asked.heel_l = reading.value;
  for (const auto& one : {amount.effort, reading.effort}) asked.effort += one;
  return asked;
}

/// Where a fill is done, an input at its mean may be what the figure excludes: then nothing is
/// known of its chance.
Asked ask_if_known(const Scenario& scenario, Asking asking, const estimate::SidesNearby& now) {
  // Of the chance its bounds are not told.
  asking.options.decides = true;
  asking.options.most_counted = k_most_counted_if_known;
  try {
    estimate::SidesNearby nearby(&now);
    return ask(scenario, asking, nearby);
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
  Asking asking{options, step_l, gauge_step_l};
  asking.options.threads = 1;
  Asked now;
  estimate::SidesNearby nearby;
  tank::LandedSensitivity sensitivity;
  estimate::in_parallel(2, options.threads, [&] {
    return [&](std::size_t unit) {
      if (unit == 0) {
        now = ask(scenario, asking, nearby);
      } else {
        sensitivity =
            done ? tank::without_indices(inputs) : tank::landed_sensitivity(inputs, options.seed);
      }
    };
  });
  const std::size_t count = sensitivity.slots.size();
  const auto known = [&](std::size_t i) {
    const std::size_t slot = sensitivity.slots[i];
    return scenario::known_at(scenario, inputs.key(slot), distributions::mean(inputs[slot].law));
  };
  const auto cells =
      cells_of<Asked>(0, count, options, {}, [&](std::size_t cell, const estimate::Options&) {
        return ask_if_known(known(cell), asking, nearby);
      });
  Drivers drivers;
  drivers.safe_amount_l = now.amount_l;
  drivers.highest_heel_l = now.heel_l;
  drivers.outside = now.outside;
  drivers.effort.evaluations = sensitivity.evaluations;
  drivers.effort += now.effort;
  for (const Asked& one : cells) drivers.effort += one.effort;
  for (std::size_t i = 0; i < count; ++i) {
    Driver driver;
    driver.key = inputs.key(sensitivity.slots[i]);
    driver.indices = sensitivity.indices[i];
    const Asked& then = cells[i];
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
