#pragma once

#include <optional>
#include <string>
#include <vector>

#include "decide/heel.hpp"
#include "tank/chance.hpp"

namespace blendrisk::decide {

/// What would do where no amount does. Everything that was tried and did not help is empty.
struct Instead {
  double least_chance = 1.0;  ///< the lowest chance of landing outside that any amount gives
  double least_at_l = 0.0;    ///< and the amount
  std::optional<double> highest_heel_l;  ///< the reading to run down to, then fill to click-off
  std::optional<double> dry_risk_at_highest;  ///< the chance of running dry from there
  std::optional<double> tested_content;  ///< this pump, tested, must show at least (minimum) or at
                                         ///< most (maximum) this for some amount to do
  bool tested_at_least = true;
  std::optional<double> second_heel_l;  ///< fill up now, run down to this reading, fill up again
  std::vector<estimate::Leg> between;   ///< after the first of these two fills
};

/// The answer of `fill`. Amounts are what the dispenser shows [L], rounded to what it can show.
struct FillResult {
  estimate::Effort effort;                        ///< of the search and what it is confirmed by
  std::optional<double> nominal_amount_l;         ///< every input at its mean
  std::optional<double> safe_amount_l;            ///< the smallest within the accepted risk
  std::optional<double> margin_l;                 ///< safe − nominal
  std::optional<double> margin_cost;              ///< where the scenario gives a price
  std::optional<double> largest_amount_l;         ///< where a limit binds before the tank is full
  std::optional<double> again_from_l;             ///< see AllowedAmounts
  double room_l = 0.0;                            ///< mean click-off − mean heel
  std::optional<estimate::ChanceResult> at_safe;  ///< freshly estimated
  std::optional<estimate::Estimate> outside_at_nominal;  ///< the chance at the nominal amount
  std::optional<Instead> instead;                        ///< where there is no safe amount
  /// After each fill but the last, whatever that puts in; where asked for.
  std::vector<estimate::Leg> between;
};

/// Solves for the amount of the last fill.
/// @param step_l        of the dispenser's display, > 0
/// @param gauge_step_l  of the gauge's display, to which readings in advice are rounded down: shown
///                      in other units they must not come out higher
/// @throws estimate::ImpossibleScenario
FillResult solve_fill(const scenario::Scenario& scenario, const estimate::Options& options,
                      double step_l, double gauge_step_l);

/// The safe amount alone, for tables and for what one input is worth, confirmed by an estimate of
/// its own as that of solve_fill is: none where no amount will do.
/// @param nearby  fits of scenarios that differ in an input that is known, if there are any
/// @throws estimate::ImpossibleScenario where the tank may hold nothing whatever the amount
estimate::Found<std::optional<double>> safe_amount(const scenario::Scenario& scenario,
                                                   const estimate::Options& options, double step_l,
                                                   estimate::SidesNearby* nearby = nullptr);

}  // namespace blendrisk::decide
