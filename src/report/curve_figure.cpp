#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "report/curve_parts.hpp"
#include "report/labels.hpp"

namespace blendrisk::report {
namespace {

using decide::CurvePoint;
using decide::CurveShow;

constexpr double k_none = std::numeric_limits<double>::quiet_NaN();
constexpr auto k_volume = units::Dimension::volume;

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
  if (view.request.show == CurveShow::amount) line.reason = k_no_amount;
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

/// On a linear axis small chances lie on the axis itself.
void tell_small(Figure& figure) {
  std::size_t small = 0;
  std::size_t all = 0;
  for (const FigureLine& line : figure.lines) {
    all += line.y.size();
    for (const double y : line.y) small += place_on(figure.y, y) < 0.004 ? 1 : 0;
  }
  if (small == 0) return;
  figure.notes.push_back(std::to_string(small) + " of " + std::to_string(all) +
                         " chances are too small to be told from 0 here; without --linear they "
                         "are.");
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
    tell_small(figure);
    return;
  }
  figure.y.low = std::pow(10.0, std::floor(std::log10(ends.low) - 1e-9));
  figure.y.high = std::min(100.0, std::pow(10.0, std::ceil(std::log10(ends.high) + 1e-9)));
  if (figure.y.low >= figure.y.high) figure.y.low = 0.1 * figure.y.high;
  figure.y.ticks = chance_ticks(figure.y.low, figure.y.high);
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
  const auto place = [&](double value) { return std::max(0.0, place_on(figure.y, value)); };
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
  for (std::size_t curve = 0; curve < figure.lines.size(); ++curve) {
    const FigureLine& line = figure.lines[curve];
    for (std::size_t i = 0; i + 1 < line.y.size(); ++i) {
      if (std::isfinite(line.y[i]) && !std::isfinite(line.y[i + 1])) {
        figure.marks.push_back({line.x[i], line.y[i], "", curve});
      }
    }
  }
  if (!figure.marks.empty()) figure.y.title += "; where a curve ends no amount will do beyond";
}

std::string many_crossings(const CurveView& view, std::size_t curve, std::size_t places,
                           UnitSystem units) {
  const std::string name = curve_name(view, curve, units);
  return (name.empty() ? "The curve" : name) + " crosses the accepted risk at " +
         std::to_string(places) + " places, which are not named here.";
}

void add_risk(const CurveView& view, Figure& figure, UnitSystem units) {
  if (!has_chances(view) || risk_varies(view)) return;
  const double risk = 100.0 * view.scenario.limits.accepted_risk;
  figure.levels.push_back({risk, "accepted risk " + short_text(risk) + " %", false});
  const ShownUnit unit = shown_unit(dimension_of(view), units);
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    const std::vector<decide::Crossing> places = crossings_of(view, curve);
    if (places.empty()) continue;
    if (places.size() > 2) {
      figure.notes.push_back(many_crossings(view, curve, places.size(), units));
      continue;
    }
    for (const decide::Crossing& place : places) {
      figure.marks.push_back(
          {place.value * unit.factor, risk, crossing_text(view, place, units), curve});
    }
  }
}

}  // namespace

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
