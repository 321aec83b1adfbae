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
  std::vector<Cell> cells;  ///< of amounts, a reading a row, a content a column

  GridShape shape() const { return {readings_l.size(), contents.size()}; }
  double reading_of(std::size_t cell) const { return readings_l[shape().row_of(cell)]; }
  double content_of(std::size_t cell) const { return contents[shape().column_of(cell)]; }
};

/// What the engine runs on from a fill to the next, by what fits: the old calibration as long as it
/// does, from then on the new one.
enum class RunOn {
  unknown,  ///< the scenario does not say what the old one bears
  keep,     ///< the old one still
  change,   ///< the new one, from this fill on
  changed,  ///< the new one, as before
  none      ///< neither fits, or only the old one, which was left before
};
/// One a leg.
std::vector<RunOn> run_on(const std::vector<estimate::Leg>& legs);

struct Guide {
  /// The plan as it is written can be followed: its risks are met, a calibration fits between its
  /// fills, and there is something to wait for where the scenario gives the line a volume.
  bool works = false;
  estimate::ChanceResult chance;  ///< filling as the scenario is written, and between the fills
  std::vector<RunOn> legs;        ///< after each fill but the last
  /// The last fill is done: there is nothing to plan, and legs, fill, heel, table and curve are not
  /// filled in.
  bool done = false;
  FillResult fill;
  HeelResult heel;
  std::optional<ArriveResult> arrive;  ///< where the scenario gives the line a volume
  GuideTable table;                    ///< of one fill
  std::vector<double> curve_l;         ///< readings of the risk curve
  std::vector<Cell> curve;
  std::vector<Crossing> crossings;
};

/// What a display can show.
struct GuideSteps {
  double dispenser_l, gauge_l, burn_l;
};

/// @throws estimate::ImpossibleScenario
Guide make_guide(const scenario::Scenario& scenario, const estimate::Options& options,
                 const GuideSteps& steps);

}  // namespace blendrisk::decide
