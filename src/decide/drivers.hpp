#pragma once

#include <optional>
#include <string>
#include <vector>

#include "estimate/result.hpp"
#include "estimate/sensitivity.hpp"
#include "scenario/scenario.hpp"

/// Which uncertainty matters, and what knowing it would be worth.
namespace blendrisk::decide {

struct Driver {
  std::string key;
  estimate::Sensitivity indices;  ///< of the landed content
  /// With this input known exactly, at its mean.
  std::optional<double> safe_amount_l, highest_heel_l;
  std::optional<double>
      margin_saved_l;  ///< of the safe amount; negative where knowing asks for more
  std::optional<double> heel_gained_l;
  double chance = 0.0;  ///< of landing outside, filling as written
};

struct Drivers {
  std::vector<Driver> inputs;                           ///< the most valuable first
  std::optional<double> safe_amount_l, highest_heel_l;  ///< as things are
  estimate::Estimate outside;
  estimate::Effort effort;  ///< of all its chances, amounts and readings
};

/// Indices of every uncertain input that the landing depends on, and the safe amount and highest
/// reading with each fixed at its mean. Sorted by the margin saved, where amounts exist, else by
/// the heel gained, else by the total index.
/// @throws estimate::ImpossibleScenario
Drivers find_drivers(const scenario::Scenario& scenario, const estimate::Options& options,
                     double step_l, double gauge_step_l);

}  // namespace blendrisk::decide
