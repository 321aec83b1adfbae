#pragma once

#include <optional>
#include <vector>

#include "decide/arrive.hpp"
#include "decide/fill.hpp"
#include "decide/heel.hpp"
#include "decide/sweep.hpp"

/// Everything that a customer's guide says, computed once.
namespace blendrisk::decide {

/// Amounts on the dispenser for what the gauge shows and what the pump tested at.
struct GuideTable {
  std::vector<double> readings_l;  ///< none below the lowest within the dry risk
  std::vector<double> contents;
  std::vector<Cell> cells;  ///< of amounts, row by row
};

struct Guide {
  /// The plan as it is written can be followed: its risks are met, and there is something to wait
  /// for where the scenario gives the line a volume.
  bool works = false;
  estimate::ChanceResult chance;  ///< filling as the scenario is written
  /// The fill is done: there is nothing to plan, and fill, heel, table and curve are not filled in.
  bool done = false;
  FillResult fill;
  HeelResult heel;
  std::optional<ArriveResult> arrive;  ///< where the scenario gives the line a volume
  GuideTable table;
  std::vector<double> curve_l;  ///< readings of the risk curve
  std::vector<Cell> curve;
  std::vector<Crossing> crossings;
};

/// What a display can show.
struct GuideSteps {
  double dispenser_l, gauge_l, burn_l;
};

/// @throws estimate::ImpossibleScenario; std::invalid_argument for several fills, whose steps
/// differ
Guide make_guide(const scenario::Scenario& scenario, const estimate::Options& options,
                 const GuideSteps& steps);

}  // namespace blendrisk::decide
