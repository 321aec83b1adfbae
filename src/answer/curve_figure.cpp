#include <algorithm>
#include <cmath>
#include <limits>

#include "answer/curve.hpp"
#include "answer/run_figures.hpp"
#include "answer/words.hpp"
#include "text/error.hpp"

namespace blendrisk::answer {
namespace {

using decide::Cell;
using decide::Show;

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
  line.label = shown(curve_name(view, curve), units);
  if (view.request.show == Show::amount) line.reason = "none.amount"_w;
  const ShownUnit x_unit = shown_unit(view, units);
  const ShownUnit litres = shown_unit(k_volume, units);
  for (std::size_t i = 0; i < view.values.size(); ++i) {
    const Cell& one = view.point(curve, i);
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
  figure.notes.push_back(shown(say("figure.small", count(small), count(all))));
}

/// Of chances in percent: whole decades down to the least that is more than a bound, or from zero.
void scale_chances(const CurveView& view, Figure& figure) {
  Ends ends;
  for (const Cell& one : view.points) {
    // Below a chance of 1e-12 no law is known.
    if (one.chance->chance > 1e-12) ends.take(100.0 * one.chance->chance);
  }
  if (!view.risk_varies()) ends.take(100.0 * view.scenario.limits.accepted_risk);
  if (!std::isfinite(ends.low)) ends = {1e-4, 1.0};
  figure.y.log = view.log_scale;
  if (!view.log_scale) {
    figure.y.low = 0.0;
    figure.y.high = std::min(100.0, 1.08 * ends.high);
    figure.y.ticks = linear_ticks(0.0, figure.y.high);
    add_unit(figure.y.ticks, "%");
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
    throw text::Error("figure.no_amount"_w);
  }
  const double room = std::max(0.08 * (ends.high - ends.low), 0.01 * std::abs(ends.high) + 1e-6);
  figure.y.low = ends.low >= 0.0 ? std::max(0.0, ends.low - room) : ends.low - room;
  figure.y.high = ends.high + room;
  figure.y.ticks = linear_ticks(figure.y.low, figure.y.high);
  const std::string unit =
      view.request.show == Show::landed ? "%" : shown_unit(k_volume, units).name;
  add_unit(figure.y.ticks, unit);
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

/// Where a curve of amounts ends because none will do.
void add_ends(const CurveView& view, Figure& figure) {
  if (view.request.show != Show::amount) return;
  for (std::size_t curve = 0; curve < figure.lines.size(); ++curve) {
    const FigureLine& line = figure.lines[curve];
    for (std::size_t i = 0; i + 1 < line.y.size(); ++i) {
      if (std::isfinite(line.y[i]) && !std::isfinite(line.y[i + 1])) {
        figure.marks.push_back({line.x[i], line.y[i], "", curve});
      }
    }
  }
  if (!figure.marks.empty()) {
    figure.y.title = shown(say("figure.ends", text(figure.y.title)));
  }
}

std::string many_crossings(const CurveView& view, std::size_t curve, std::size_t places,
                           UnitSystem units) {
  const Value name = curve_name(view, curve);
  return shown(say("figure.many_crossings", name ? name : say("figure.curve"), count(places)),
               units);
}

void add_risk(const CurveView& view, Figure& figure, UnitSystem units) {
  if (!view.has_one_risk()) return;
  const double risk = 100.0 * view.scenario.limits.accepted_risk;
  figure.levels.push_back(
      {risk, shown(say("figure.risk", percent(view.scenario.limits.accepted_risk))), false});
  const ShownUnit unit = shown_unit(view, units);
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    const std::vector<decide::Crossing> places = view.crossings_of(curve);
    if (places.empty()) continue;
    if (places.size() > 2) {
      figure.notes.push_back(many_crossings(view, curve, places.size(), units));
      continue;
    }
    for (const decide::Crossing& place : places) {
      figure.marks.push_back({place.value * unit.factor, risk,
                              shown(crossing_value(view, place, units), units), curve});
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
  const ShownUnit unit = shown_unit(view, units);
  Ends x;
  for (const double value : view.values) x.take(value * unit.factor);
  if (!(x.low < x.high)) throw text::Error("figure.two_values"_w);
  const std::string key = capitalised(label(view.along.key));
  figure.x = {unit.name.empty() ? key : shown(say("in_brackets", text(key), text(unit.name))),
              x.low, x.high, false, linear_ticks(x.low, x.high)};
  figure.y.title = shown(meaning(view), units);
  if (view.has_chances()) {
    scale_chances(view, figure);
  } else {
    scale_values(view, figure, units);
  }
  drop_thin_bands(figure);
  if (!view.by.values.empty()) {
    figure.title = shown(say("figure.by", text(figure.title), text(label(view.by.key))));
  }
  if (view.request.show == Show::landed) {
    for (const estimate::Limit& limit : estimate::limits_of(view.scenario.limits)) {
      figure.levels.push_back(limit_level(limit, false));
    }
    for (const FigureLevel& level : figure.levels) {
      figure.y.low = std::min(figure.y.low, level.at - 1.0);
      figure.y.high = std::max(figure.y.high, level.at + 1.0);
    }
    figure.y.ticks = linear_ticks(figure.y.low, figure.y.high);
    add_unit(figure.y.ticks, "%");
  }
  add_risk(view, figure, units);
  add_ends(view, figure);
  figure.alt =
      shown(say("figure.curve.alt", text(figure.y.title), text(label(view.along.key)),
                along(view, view.values.front(), units), along(view, view.values.back(), units)));
  return figure;
}

}  // namespace blendrisk::answer
