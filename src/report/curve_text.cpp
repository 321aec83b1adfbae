#include "report/curve_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "report/csv.hpp"
#include "report/json_parts.hpp"
#include "report/labels.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::report {
namespace {

using decide::CurvePoint;
using decide::CurveShow;

constexpr double k_none = std::numeric_limits<double>::quiet_NaN();
constexpr auto k_volume = units::Dimension::volume;
constexpr const char* k_no_amount = "no amount meets the accepted risk";

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

/// To three digits, rounded to the side that is within the risk.
std::string crossing_text(const CurveView& view, const decide::Crossing& crossing,
                          UnitSystem units) {
  const ShownUnit unit = shown_unit(dimension_of(view), units);
  const double value = crossing.value * unit.factor;
  if (value == 0.0) return value_text(view, 0.0, units);
  const double step = std::pow(10.0, std::floor(std::log10(std::abs(value))) - 2.0);
  const double steps = value / step;
  const double rounded =
      step * (crossing.within_below ? std::floor(steps + 1e-9) : std::ceil(steps - 1e-9));
  return value_text(view, rounded / unit.factor, units);
}

std::string point_text(const CurvePoint& point, UnitSystem units) {
  if (point.chance) return estimate_text(*point.chance);
  if (point.landed) {
    const auto& q = point.landed->quantiles;
    return content_text(q[2], 1) + " (95 %: " + content_text(q[0], 1) + " to " +
           content_text(q[4], 1) + ")";
  }
  return point.litres ? dispenser_text(*point.litres, units) : "none";
}

std::string curve_name(const CurveView& view, std::size_t curve, UnitSystem units) {
  if (view.by.values.empty()) return {};
  const std::string& value = view.by.values[curve];
  return cleaned(units == UnitSystem::us ? in_gallons(value) : value);
}

std::string lines_of(const CurveView& view, std::size_t curve, UnitSystem units) {
  std::string text;
  for (std::size_t i = 0; i < view.values.size(); ++i) {
    text += "  " + padded(value_text(view, view.values[i], units), 14) +
            point_text(point(view, curve, i), units) + "\n";
  }
  for (const decide::Crossing& crossing : crossings_of(view, curve)) {
    const bool below = crossing.within_below;
    text += wrapped("Within the accepted risk of " +
                        short_text(100.0 * view.scenario.limits.accepted_risk) + " % " +
                        (below ? "up to " : "from ") + crossing_text(view, crossing, units) +
                        (below ? "." : " on."),
                    "  ");
  }
  return text;
}

Json point_json(const CurveView& view, std::size_t curve, std::size_t i) {
  const CurvePoint& one = point(view, curve, i);
  Json object = Json::object();
  put(object, "value", view.values[i]);
  if (!view.by.values.empty()) object["by"] = view.by.values[curve];
  if (one.chance) {
    object["estimate"] = estimate_json(*one.chance);
  } else if (one.landed) {
    put(object["landed"], "mean", one.landed->mean);
    put(object["landed"], "standard_deviation", one.landed->standard_deviation);
    object["landed"]["quantiles"] = Json::object();
    put_quantiles(object["landed"]["quantiles"], one.landed->quantiles);
  } else {
    put(object, "amount", one.litres, k_no_amount);
  }
  return object;
}

/// Ends of an axis about the finite values.
struct Ends {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();

  void take(double value) {
    if (!std::isfinite(value)) return;
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

FigureLine line_of(const CurveView& view, std::size_t curve, UnitSystem units) {
  FigureLine line;
  line.label = curve_name(view, curve, units);
  const ShownUnit x_unit = shown_unit(dimension_of(view), units);
  const ShownUnit litres = shown_unit(k_volume, units);
  for (std::size_t i = 0; i < view.values.size(); ++i) {
    const CurvePoint& one = point(view, curve, i);
    line.x.push_back(view.values[i] * x_unit.factor);
    if (one.chance) {
      line.y.push_back(100.0 * one.chance->chance);
      // Where only a bound is known there is no band about a chance.
      const bool bound = one.chance->chance <= 1e-12;
      const auto& [low, high] = one.chance->interval;
      line.band_low.push_back(bound ? line.y.back() : 100.0 * low);
      line.band_high.push_back(bound ? line.y.back() : 100.0 * high);
    } else if (one.landed) {
      line.y.push_back(100.0 * one.landed->quantiles[2]);
      line.band_low.push_back(100.0 * one.landed->quantiles[0]);
      line.band_high.push_back(100.0 * one.landed->quantiles[4]);
    } else {
      line.y.push_back(one.litres ? *one.litres * litres.factor : k_none);
    }
  }
  return line;
}

/// Of chances in percent: whole decades down to the least that is more than a bound, or from zero.
void scale_chances(const CurveView& view, Figure& figure) {
  Ends ends;
  for (const CurvePoint& one : view.points) {
    // Below a chance of 1e-12 no law is known.
    if (one.chance->chance > 1e-12) ends.take(100.0 * one.chance->chance);
  }
  if (!risk_varies(view)) ends.take(100.0 * view.scenario.limits.accepted_risk);
  if (!std::isfinite(ends.low)) ends = {1e-4, 1.0};
  figure.y.log = view.log_scale;
  if (!view.log_scale) {
    figure.y.low = 0.0;
    figure.y.high = std::min(100.0, 1.08 * ends.high);
    figure.y.ticks = linear_ticks(0.0, figure.y.high);
    for (Tick& tick : figure.y.ticks) tick.text += " %";
    return;
  }
  figure.y.low = std::pow(10.0, std::floor(std::log10(ends.low) - 1e-9));
  figure.y.high = std::min(100.0, std::pow(10.0, std::ceil(std::log10(ends.high) + 1e-9)));
  if (figure.y.low >= figure.y.high) figure.y.low = 0.1 * figure.y.high;
  figure.y.ticks = log_ticks(figure.y.low, figure.y.high, " %");
  // What is below the picture leaves it, in place of breaking the curve.
  for (FigureLine& line : figure.lines) {
    for (auto* column : {&line.y, &line.band_low, &line.band_high}) {
      for (double& value : *column) value = std::max(value, 1e-3 * figure.y.low);
    }
  }
}

void scale_values(const CurveView& view, Figure& figure, UnitSystem units) {
  Ends ends;
  for (const FigureLine& line : figure.lines) {
    for (const auto* column : {&line.y, &line.band_low, &line.band_high}) {
      for (const double value : *column) ends.take(value);
    }
  }
  if (!std::isfinite(ends.low)) {
    throw std::invalid_argument("no amount meets the accepted risk at any value");
  }
  const double room = std::max(0.08 * (ends.high - ends.low), 0.01 * std::abs(ends.high) + 1e-6);
  figure.y.low = ends.low >= 0.0 ? std::max(0.0, ends.low - room) : ends.low - room;
  figure.y.high = ends.high + room;
  figure.y.ticks = linear_ticks(figure.y.low, figure.y.high);
  const std::string unit =
      view.request.show == CurveShow::landed ? "%" : shown_unit(k_volume, units).name;
  for (Tick& tick : figure.y.ticks) tick.text += " " + unit;
}

/// Bands that would not be seen are left out.
void drop_thin_bands(Figure& figure) {
  const auto place = [&](double value) {
    return figure.y.log ? std::log(std::max(value, figure.y.low) / figure.y.low) /
                              std::log(figure.y.high / figure.y.low)
                        : (value - figure.y.low) / (figure.y.high - figure.y.low);
  };
  for (FigureLine& line : figure.lines) {
    double widest = 0.0;
    for (std::size_t i = 0; i < line.band_low.size(); ++i) {
      widest = std::max(widest, place(line.band_high[i]) - place(line.band_low[i]));
    }
    if (widest >= 0.01) continue;
    line.band_low.clear();
    line.band_high.clear();
  }
}

std::string capitalised(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  }
  return text;
}

/// Where a curve of amounts ends because none will do.
void add_ends(const CurveView& view, Figure& figure) {
  if (view.request.show != CurveShow::amount) return;
  for (const FigureLine& line : figure.lines) {
    for (std::size_t i = 0; i + 1 < line.y.size(); ++i) {
      if (std::isfinite(line.y[i]) && !std::isfinite(line.y[i + 1])) {
        figure.marks.push_back({line.x[i], line.y[i], ""});
      }
    }
  }
  if (!figure.marks.empty()) figure.y.title += "; where a curve ends no amount will do beyond";
}

void add_risk(const CurveView& view, Figure& figure, UnitSystem units) {
  if (!has_chances(view) || risk_varies(view)) return;
  const double risk = 100.0 * view.scenario.limits.accepted_risk;
  figure.levels.push_back({risk, "accepted risk " + short_text(risk) + " %", false});
  const ShownUnit unit = shown_unit(dimension_of(view), units);
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    const std::vector<decide::Crossing> places = crossings_of(view, curve);
    if (places.empty() || places.size() > 2) continue;
    const FigureLine& line = figure.lines[curve];
    // Below the risk a rising curve leaves room at the right, a falling one at the left.
    const bool falls = line.y.back() < line.y.front();
    for (const decide::Crossing& place : places) {
      figure.marks.push_back(
          {place.value * unit.factor, risk, crossing_text(view, place, units), falls});
    }
  }
}

}  // namespace

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

std::string curve_text(const CurveView& view, const estimate::Options& options, UnitSystem units) {
  std::string text = title_lines(view.scenario) +
                     wrapped(meaning(view, units) + ", along " + label(view.along.key) + ".");
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    const std::string name = curve_name(view, curve, units);
    text += name.empty() ? "\n" : heading(label(view.by.key) + " " + name);
    text += lines_of(view, curve, units);
  }
  scenario::Scenario rest = view.scenario;
  const auto on_axis = [&view](const scenario::Given& given) {
    return given.key == view.along.key || given.key == view.by.key;
  };
  std::erase_if(rest.given, on_axis);
  std::erase_if(rest.defaults, on_axis);
  const About about = view.request.show == CurveShow::arrival ? About::line : About::landing;
  return text + assumed_section(rest, units, about) + heading("How it was computed") +
         row("points", 16, std::to_string(view.points.size())) +
         row("seed", 16, std::to_string(options.seed)) + cautions_section();
}

std::string curve_json(const CurveView& view, const estimate::Options& options, double elapsed_s) {
  Json object = opening("curve", view.scenario, options, "conditional");
  std::uint64_t evaluations = 0;
  for (const CurvePoint& one : view.points) evaluations += one.evaluations;
  object["evaluations"] = evaluations;
  put(object, "elapsed_s", elapsed_s);
  object["along"] = view.along.key;
  object["by"] = view.by.values.empty() ? Json(nullptr) : Json(view.by.key);
  Json points = Json::array();
  Json crossed = Json::array();
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    for (std::size_t i = 0; i < view.values.size(); ++i) {
      points.push_back(point_json(view, curve, i));
    }
    for (const decide::Crossing& crossing : crossings_of(view, curve)) {
      Json one = Json::object();
      put(one, "value", crossing.value);
      one["within"] = crossing.within_below ? "below" : "above";
      if (!view.by.values.empty()) one["by"] = view.by.values[curve];
      crossed.push_back(std::move(one));
    }
  }
  object["points"] = std::move(points);
  object["crossings"] = std::move(crossed);
  put(object, "accepted_risk", view.scenario.limits.accepted_risk);
  return closed(std::move(object));
}

std::string curve_csv(const CurveView& view) {
  std::string text = csv_field(view.along.key) + ",";
  if (!view.by.values.empty()) text += csv_field(view.by.key) + ",";
  switch (view.request.show) {
    case CurveShow::chance:
    case CurveShow::arrival:
      text += "chance,standard_error,interval_95_low,interval_95_high\n";
      break;
    case CurveShow::amount:
      text += "safe_amount_l,reason\n";
      break;
    case CurveShow::landed:
      text +=
          "mean,standard_deviation,quantile_0.025,quantile_0.05,quantile_0.5,quantile_0.95,"
          "quantile_0.975\n";
      break;
  }
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    for (std::size_t i = 0; i < view.values.size(); ++i) {
      const CurvePoint& one = point(view, curve, i);
      text += csv_number(view.values[i]) + ",";
      if (!view.by.values.empty()) text += csv_field(view.by.values[curve]) + ",";
      if (one.chance) {
        text += csv_number(one.chance->chance) + "," + csv_number(one.chance->standard_error) +
                "," + csv_number(one.chance->interval[0]) + "," +
                csv_number(one.chance->interval[1]);
      } else if (one.landed) {
        text += csv_number(one.landed->mean) + "," + csv_number(one.landed->standard_deviation);
        for (const double quantile : one.landed->quantiles) text += "," + csv_number(quantile);
      } else {
        text += one.litres ? csv_number(*one.litres) + "," : std::string(",") + k_no_amount;
      }
      text += "\n";
    }
  }
  return text;
}

Figure curve_figure(const CurveView& view, UnitSystem units) {
  Figure figure;
  figure.title = view.scenario.title;
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    figure.lines.push_back(line_of(view, curve, units));
  }
  const ShownUnit unit = shown_unit(dimension_of(view), units);
  Ends x;
  for (const double value : view.values) x.take(value * unit.factor);
  if (!(x.low < x.high)) throw std::invalid_argument("a curve needs two values at least");
  figure.x = {
      capitalised(label(view.along.key)) + (unit.name.empty() ? "" : " (" + unit.name + ")"), x.low,
      x.high, false, linear_ticks(x.low, x.high)};
  figure.y.title = meaning(view, units);
  if (has_chances(view)) {
    scale_chances(view, figure);
  } else {
    scale_values(view, figure, units);
  }
  drop_thin_bands(figure);
  if (!view.by.values.empty()) figure.title += ", by " + label(view.by.key);
  if (view.request.show == CurveShow::landed) {
    const scenario::Limits& limits = view.scenario.limits;
    if (limits.minimum) {
      figure.levels.push_back(
          {100.0 * *limits.minimum, "minimum " + content_text(*limits.minimum), false});
    }
    if (limits.maximum) {
      figure.levels.push_back(
          {100.0 * *limits.maximum, "maximum " + content_text(*limits.maximum), false});
    }
    for (const FigureLevel& level : figure.levels) {
      figure.y.low = std::min(figure.y.low, level.at - 1.0);
      figure.y.high = std::max(figure.y.high, level.at + 1.0);
    }
    figure.y.ticks = linear_ticks(figure.y.low, figure.y.high);
    for (Tick& tick : figure.y.ticks) tick.text += " %";
  }
  add_risk(view, figure, units);
  add_ends(view, figure);
  figure.alt = figure.y.title + ", along " + label(view.along.key) + ", from " +
               value_text(view, view.values.front(), units) + " to " +
               value_text(view, view.values.back(), units) + ".";
  return figure;
}

}  // namespace blendrisk::report
