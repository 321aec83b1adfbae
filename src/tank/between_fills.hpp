#pragma once

#include <vector>

#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::tank {

/// What the tank holds after each fill but the last, on which the car is driven to the next: each
/// as the scenario ends with that fill. Inputs of later fills, and what these showed, do not count.
/// Where the scenario says what the old calibration bears, with the chances against that.
/// @throws ImpossibleScenario
std::vector<estimate::Leg> between_fills(const scenario::Scenario& scenario,
                                         const estimate::Options& options);

}  // namespace blendrisk::tank
