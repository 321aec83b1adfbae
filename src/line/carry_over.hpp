#pragma once

#include <vector>

#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

/// What is known once a fill is done, as inputs of the scenario of the next.
namespace blendrisk::line {

/// One case: content of the tank in the end, content of all that the line holds, mixed, and the
/// sensor's bias.
struct KnownCase {
  double tank, line, bias;
  double weight;  ///< > 0
};

/// Laws of `heel.content`, of `line.content` where it is another than the tank's (by more than
/// 0.05 % in a twentieth of the cases) and of `sensor.bias` where it is not exactly 0, with their
/// rank correlations where these are more than 0.02. A law has points enough that the straight
/// lines between them keep within a hundredth of its standard deviation of the cases' quantiles,
/// or within three standard errors of these.
/// @param effective_cases  so many independent ones would tell as much
estimate::CarriedOver carried_over(const std::vector<KnownCase>& cases, double effective_cases);

/// The same of a fill as planned, or as known by what the dispenser showed, once the line has been
/// driven through, from 2^17 cases.
/// @throws ImpossibleScenario as Line does for a return flow, and where no case agrees with the
/// figures
estimate::CarriedOver carried_over(const scenario::Scenario& scenario,
                                   const estimate::Options& options);

}  // namespace blendrisk::line
