#include "report/curve_parts.hpp"

#include <cmath>

#include "report/labels.hpp"
#include "report/plain_text.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::report {
namespace {

using decide::CurvePoint;
using decide::CurveShow;

std::string side_words(const CurveView& view) {
  const scenario::Limits& limits = view.scenario.limits;
  const auto varies = [&](const char* key) { return view.along.key == key || view.by.key == key; };
  if (limits.minimum && !limits.maximum) {
    return varies("limits.minimum") ? "below the minimum"
                                    : "below " + content_text(*limits.minimum);
  }
  if (limits.maximum && !limits.minimum) {
    return varies("limits.maximum") ? "above the maximum"
                                    : "above " + content_text(*limits.maximum);
  }
  return "outside the limits";
}

std::string after_words(const CurveView& view, UnitSystem units) {
  const estimate::Moment& after = view.request.after;
  return after.by == estimate::Moment::By::time ? time_text(after.value)
                                                : volume_text(after.value, units) + " burned";
}

}  // namespace

std::string meaning(const CurveView& view, UnitSystem units) {
  switch (view.request.show) {
    case CurveShow::chance:
      return "Chance of landing " + side_words(view);
    case CurveShow::amount:
      return "Safe amount on the dispenser";
    case CurveShow::landed:
      return "Landed content: median and middle 95 %";
    case CurveShow::arrival:
      break;
  }
  const bool below = view.target.side == estimate::Side::below;
  return "Chance that the injectors still get " + std::string(below ? "less than " : "more than ") +
         content_text(view.target.limit) + " after " + after_words(view, units);
}

units::Dimension dimension_of(const CurveView& view) {
  return scenario::find_key(view.along.key)->dimension;
}

bool has_chances(const CurveView& view) {
  return view.request.show == CurveShow::chance || view.request.show == CurveShow::arrival;
}

bool risk_varies(const CurveView& view) {
  constexpr std::string_view key = "limits.accepted-risk";
  return view.along.key == key || view.by.key == key;
}

const CurvePoint& point(const CurveView& view, std::size_t curve, std::size_t i) {
  return view.points[curve * view.values.size() + i];
}

std::vector<decide::Crossing> crossings_of(const CurveView& view, std::size_t curve) {
  if (curve >= view.crossings.size()) return {};
  return view.crossings[curve];
}

std::string value_text(const CurveView& view, double value, UnitSystem units) {
  const ShownUnit unit = shown_unit(dimension_of(view), units);
  const std::string number = short_text(value * unit.factor, 3);
  return unit.name.empty() ? number : number + " " + unit.name;
}

std::string crossing_text(const CurveView& view, const decide::Crossing& crossing,
                          UnitSystem units) {
  const auto to_step = [&](double step) {
    const double steps = crossing.value / step;
    return step * (crossing.within_below ? std::floor(steps + 1e-9) : std::ceil(steps - 1e-9));
  };
  if (view.along.key.ends_with(".indicated")) return gauge_text(to_step(gauge_step(units)), units);
  if (view.along.key.ends_with(".amount")) {
    return dispenser_text(to_step(dispenser_step(units)), units);
  }
  const ShownUnit unit = shown_unit(dimension_of(view), units);
  const double value = crossing.value * unit.factor;
  if (value == 0.0) return value_text(view, 0.0, units);
  const double step = std::pow(10.0, std::floor(std::log10(std::abs(value))) - 2.0);
  const double steps = value / step;
  const double rounded =
      step * (crossing.within_below ? std::floor(steps + 1e-9) : std::ceil(steps - 1e-9));
  return value_text(view, rounded / unit.factor, units);
}

std::string curve_name(const CurveView& view, std::size_t curve, UnitSystem units) {
  if (view.by.values.empty()) return {};
  const std::string& value = view.by.values[curve];
  return cleaned(units == UnitSystem::us ? in_gallons(value) : value);
}

ShownUnit shown_unit(units::Dimension dimension, UnitSystem system) {
  const bool us = system == UnitSystem::us;
  const double gallons = 1.0 / dispenser_step(UnitSystem::us) * 0.001;
  switch (dimension) {
    case units::Dimension::volume:
      return us ? ShownUnit{gallons, "gal"} : ShownUnit{1.0, "L"};
    case units::Dimension::content:
    case units::Dimension::fraction:
      return {100.0, "%"};
    case units::Dimension::rate:
      return us ? ShownUnit{3600.0 * gallons, "gal/h"} : ShownUnit{3600.0, "L/h"};
    case units::Dimension::time:
      return {1.0, "s"};
    case units::Dimension::distance:
      return us ? ShownUnit{1.0 / 1.609344, "mi"} : ShownUnit{1.0, "km"};
    case units::Dimension::economy:
      return {100.0, "L/100km"};
    case units::Dimension::price:
      return {1.0, "/L"};
    case units::Dimension::number:
      break;
  }
  return {};
}

bool has_one_risk(const CurveView& view) {
  return has_chances(view) && !risk_varies(view);
}

}  // namespace blendrisk::report
