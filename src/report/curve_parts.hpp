#pragma once

#include "report/curve_text.hpp"

/// What text and picture of a curve share, so that both say the same.
namespace blendrisk::report {

inline constexpr const char* k_no_amount = "no amount meets the accepted risk";

/// What the curve's values are: "Chance of landing below 62 %".
std::string meaning(const CurveView& view, UnitSystem units);

units::Dimension dimension_of(const CurveView& view);

/// Whether its values are chances, and whether the accepted risk is one of its keys.
bool has_chances(const CurveView& view);
bool risk_varies(const CurveView& view);

const decide::CurvePoint& point(const CurveView& view, std::size_t curve, std::size_t i);
std::vector<decide::Crossing> crossings_of(const CurveView& view, std::size_t curve);

/// A value of the key along, in its unit, to three digits.
std::string value_text(const CurveView& view, double value, UnitSystem units);

/// Where the accepted risk is crossed, rounded to the side that is within it: to the step of the
/// gauge or the dispenser that shows it, else to three digits.
std::string crossing_text(const CurveView& view, const decide::Crossing& crossing,
                          UnitSystem units);

/// The value of the other key; empty where there is one curve.
std::string curve_name(const CurveView& view, std::size_t curve, UnitSystem units);

}  // namespace blendrisk::report
