#pragma once

#include "estimate/limit.hpp"
#include "sampling/case_inputs.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::tank {

/// The chance of landing outside the limits and what goes with it, as the scenario is filled.
/// Same seed, same result, on any number of threads.
/// @throws ImpossibleScenario
estimate::ChanceResult estimate_chance(const scenario::Scenario& scenario,
                                       const estimate::Options& options,
                                       const estimate::Progress& progress = {});

/// The same without running dry and clicking off early, which are not told. Runs in the caller's
/// thread.
/// @throws ImpossibleScenario
estimate::ChanceResult estimate_landing(const scenario::Scenario& scenario,
                                        estimate::Options options);

class FittedSides;

/// The chance of landing outside the limits alone; where there is no content to condition on, by
/// counting options.most_counted cases at most.
estimate::Result estimate_outside(const scenario::Scenario& scenario,
                                  const estimate::Options& options);
/// The same of inputs that are prepared, of Scope::landing.
/// @param fitted  by an earlier look at the same inputs, or for a later one
estimate::Result estimate_outside(const sampling::CaseInputs& inputs,
                                  const estimate::Options& options, FittedSides* fitted = nullptr);

/// The chance of running dry before any fill alone, on at most 2¹⁴ points a round.
estimate::Estimate estimate_run_dry(const scenario::Scenario& scenario,
                                    const estimate::Options& options);
estimate::Estimate estimate_run_dry(const sampling::CaseInputs& inputs,
                                    const estimate::Options& options);

/// One side alone, without landed content and the rest: P(landed < limit) or P(landed > limit).
estimate::Result estimate_side(const scenario::Scenario& scenario, const estimate::Limit& limit,
                               const estimate::Options& options,
                               const estimate::Progress& progress = {});

}  // namespace blendrisk::tank
