#pragma once

#include "estimate/methods.hpp"
#include "estimate/result.hpp"
#include "sampling/case_inputs.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::estimate {

/// The chance of landing outside the limits and what goes with it, as the scenario is filled.
/// Same seed, same result, on any number of threads.
/// @throws ImpossibleScenario
ChanceResult estimate_chance(const scenario::Scenario& scenario, const Options& options,
                             const Progress& progress = {});

/// The most cases that are counted where that was not asked for.
inline constexpr std::uint64_t k_most_counted = 20'000'000;

/// The chance of landing outside the limits alone; where there is no content to condition on, by
/// counting `most_counted` cases at most.
struct OutsideResult {
  Estimate estimate;
  std::uint64_t evaluations = 0;
  Methods methods;
};
OutsideResult estimate_outside(const scenario::Scenario& scenario, const Options& options,
                               std::uint64_t most_counted = k_most_counted);
/// The same of inputs that are prepared, of Scope::landing.
OutsideResult estimate_outside(const sampling::CaseInputs& inputs, const Options& options,
                               std::uint64_t most_counted = k_most_counted);

/// The chance of running dry before any fill alone, on at most 2¹⁴ points a round.
Estimate estimate_run_dry(const scenario::Scenario& scenario, const Options& options);
Estimate estimate_run_dry(const sampling::CaseInputs& inputs, const Options& options);

/// One side alone, without landed content and the rest: P(landed < limit) or P(landed > limit).
struct SideResult {
  Estimate estimate;
  std::uint64_t evaluations = 0;
  Stop stop = Stop::precision_reached;
  bool leaned = false;
};
SideResult estimate_side(const scenario::Scenario& scenario, Side side, double limit,
                         const Options& options, const Progress& progress = {});

}  // namespace blendrisk::estimate
