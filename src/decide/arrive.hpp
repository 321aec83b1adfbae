#pragma once

#include "decide/enough_burn.hpp"
#include "decide/waiting_table.hpp"
#include "line/gap.hpp"

/// The answer of `arrive`: when the rail has it, how much to burn, and the readings to wait for.
namespace blendrisk::decide {

/// The most cases that are followed and counted, all of which are held in memory.
inline constexpr std::uint64_t k_most_followed = 1'000'000;

struct ArriveResult {
  line::Arrival arrival;
  /// With both limits: the tank ends beyond the other one, which no waiting mends.
  std::optional<estimate::Estimate> beyond_other;
  double other_limit = 0.0;
  /// Something to wait for or to burn, and the other limit within the accepted risk.
  bool met = false;
  EnoughBurn enough;
  WaitFor wait_for;
  WaitingTable waiting;
  std::optional<line::Gap> gap;  ///< where the scenario says what the old calibration bears
  estimate::Effort effort;
};

/// @param step_l  what burned fuel is told in [L]: a hundredth of its unit
/// @throws ImpossibleScenario where the line has no volume
ArriveResult solve_arrive(const scenario::Scenario& scenario, const estimate::Options& options,
                          double step_l);

}  // namespace blendrisk::decide
