#pragma once

#include <string>
#include <vector>

#include "answer/answers.hpp"
#include "answer/figure.hpp"
#include "decide/sweep.hpp"
#include "scenario/axis.hpp"
#include "units/quantity.hpp"

/// What `curve` answers.
namespace blendrisk::answer {

/// One or more curves along a key.
struct CurveView {
  scenario::Scenario scenario;  ///< as it is without the axes
  scenario::Axis along;
  std::vector<double> values;  ///< of along, in inner units
  scenario::Axis by;           ///< one curve a value; no values: one curve
  decide::SweepRequest request;
  bool log_scale = true;                                 ///< of chances
  estimate::Limit target{};                              ///< what arrival is about
  std::vector<decide::Cell> points;                      ///< curve by curve
  std::vector<std::vector<decide::Crossing>> crossings;  ///< of the accepted risk, one list a curve

  std::size_t curves() const { return by.values.empty() ? 1 : by.values.size(); }
  const decide::Cell& point(std::size_t curve, std::size_t i) const {
    return points[curve * values.size() + i];
  }
  std::vector<decide::Crossing> crossings_of(std::size_t curve) const {
    return curve < crossings.size() ? crossings[curve] : std::vector<decide::Crossing>{};
  }
  /// Whether its values are chances, and whether the accepted risk is one of its keys.
  bool has_chances() const;
  bool risk_varies() const;
  /// Whether its chances are held against one accepted risk.
  bool has_one_risk() const { return has_chances() && !risk_varies(); }
};

/// The values, and where the chance crosses the accepted risk.
Description described(const Asked& asked, const CurveView& view);
Json members(const Asked& asked, const CurveView& view);

/// What a picture or data of it say, where those are in a file: what is shown, and where the chance
/// crosses the accepted risk.
std::vector<Paragraph> summary(const CurveView& view, UnitSystem units);

/// @throws text::Error where there is nothing to draw (no amount at any value)
Figure curve_figure(const CurveView& view, UnitSystem units);

/// What the curve's values are: "Chance of landing below 62 %".
Value meaning(const CurveView& view);

/// A value of the key along, in its unit, to three digits.
Value along(const CurveView& view, double value, UnitSystem units);

/// Where the accepted risk is crossed, rounded to the side that is within it: to the step of the
/// gauge or the dispenser that shows it, else to three digits.
Value crossing_value(const CurveView& view, const decide::Crossing& crossing, UnitSystem units);

/// The value of the other key; nothing where there is one curve.
Value curve_name(const CurveView& view, std::size_t curve);

/// A key's values as a picture shows them: value × factor, with the unit's name.
struct ShownUnit {
  double factor = 1.0;
  std::string name;  ///< "L"; empty for plain numbers
};
ShownUnit shown_unit(units::Dimension dimension, UnitSystem system);
ShownUnit shown_unit(const CurveView& view, UnitSystem system);

}  // namespace blendrisk::answer
