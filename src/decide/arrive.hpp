#pragma once

#include "decide/wait_for.hpp"

/// The answer of `arrive`: when the rail has it, how much to burn, and the reading to wait for.
namespace blendrisk::decide {

/// The least that has to be burned for the chance of the rail being outside the limit to be within
/// limits.accepted-risk.
struct EnoughBurn {
  std::optional<double> burn_l;  ///< rounded up; none: see reason
  std::optional<double> time_s;  ///< at the median rates
  estimate::Estimate outside;    ///< after it, on points of its own
  std::string reason;
};

struct ArriveResult {
  estimate::Arrival arrival;
  /// With both limits: the tank ends beyond the other one, which no waiting mends.
  std::optional<estimate::Estimate> beyond_other;
  double other_limit = 0.0;
  /// Something to wait for or to burn, and the other limit within the accepted risk.
  bool met = false;
  EnoughBurn enough;
  WaitFor wait_for;
  std::uint64_t evaluations = 0;
};

/// @param step_l  what burned fuel is told in [L]: a hundredth of its unit
/// @throws ImpossibleScenario
ArriveResult solve_arrive(const scenario::Scenario& scenario, const estimate::Options& options,
                          double step_l);

}  // namespace blendrisk::decide
