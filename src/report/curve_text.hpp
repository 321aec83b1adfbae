#pragma once

#include <string>
#include <vector>

#include "decide/curve.hpp"
#include "report/figure.hpp"
#include "report/format.hpp"
#include "scenario/axis.hpp"
#include "units/quantity.hpp"

namespace blendrisk::report {

/// One or more curves along a key.
struct CurveView {
  scenario::Scenario scenario;  ///< as it is without the axes
  scenario::Axis along;
  std::vector<double> values;  ///< of along, in inner units
  scenario::Axis by;           ///< one curve a value; no values: one curve
  decide::CurveRequest request;
  bool log_scale = true;                                 ///< of chances
  estimate::Target target{};                             ///< what arrival is about
  std::vector<decide::CurvePoint> points;                ///< curve by curve
  std::vector<std::vector<decide::Crossing>> crossings;  ///< of the accepted risk, one list a curve

  std::size_t curves() const { return by.values.empty() ? 1 : by.values.size(); }
};

/// Whether the chances of the view are held against one accepted risk.
bool has_one_risk(const CurveView& view);

/// For people: the values, and where the chance crosses the accepted risk.
std::string curve_text(const CurveView& view, const estimate::Options& options, UnitSystem units);

/// What a picture or data of it say, where those are in a file: what is shown, and where the chance
/// crosses the accepted risk.
std::string curve_summary(const CurveView& view, UnitSystem units);

/// One JSON object on one line: along, by, points, crossings.
std::string curve_json(const CurveView& view, const estimate::Options& options, double elapsed_s);

/// The short caution as a comment, then one line a point, in inner units (litres, fractions,
/// seconds).
std::string curve_csv(const CurveView& view);

/// @throws std::invalid_argument where there is nothing to draw (no amount at any value)
Figure curve_figure(const CurveView& view, UnitSystem units);

/// A key's values as a picture shows them: value × factor, with the unit's name.
struct ShownUnit {
  double factor = 1.0;
  std::string name;  ///< "L"; empty for plain numbers
};
ShownUnit shown_unit(units::Dimension dimension, UnitSystem system);

}  // namespace blendrisk::report
