#pragma once

#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

/// Scenarios and answers to report on; the car is invented.
namespace blendrisk::testing {

inline estimate::Estimate estimate_of(double chance, double standard_error) {
  return {chance,
          standard_error,
          {chance - 2.0 * standard_error, chance + 2.0 * standard_error},
          false};
}

inline scenario::Scenario sedan() {
  scenario::Scenario scenario;
  scenario.title = "Invented sedan";
  scenario.tank.pickup_floor_l = 3.785411784;
  scenario.fills.resize(1);
  scenario.limits.minimum = 0.625;
  scenario.given = {{"title", "Invented sedan"},
                    {"heel.indicated", "6 L"},
                    {"heel.gauge-error", "normal(0 L, 1.5 L)"},
                    {"limits.minimum", "62.5 %"}};
  return scenario;
}

inline estimate::ChanceResult sedan_result() {
  estimate::ChanceResult result;
  result.landed = {0.7342, 0.0312, {0.661, 0.672, 0.7359, 0.781, 0.789}};
  result.below_minimum = estimate_of(0.0272536, 0.000098);
  result.outside = *result.below_minimum;
  result.run_dry = estimate_of(0.0012, 0.00001);
  result.met = false;
  result.dry_met = true;
  result.clearly = true;
  result.effort = {{.conditional = true}, 16384, estimate::Stop::precision_reached, true};
  result.conditioned_on = "fuel.content";
  return result;
}

}  // namespace blendrisk::testing
