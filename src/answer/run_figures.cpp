#include "answer/run_figures.hpp"

#include <algorithm>
#include <cmath>

#include "answer/curve.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

constexpr std::size_t k_rail_points = 161;
/// Contents nearer than this are one curve.
constexpr double k_one_curve = 1e-3;

/// y at x by a straight line between its neighbours.
double between(const std::vector<double>& x, const std::vector<double>& y, double at) {
  const auto above = std::upper_bound(x.begin(), x.end(), at);
  if (above == x.begin()) return y.front();
  if (above == x.end()) return y.back();
  const auto i = static_cast<std::size_t>(above - x.begin());
  const double share = (at - x[i - 1]) / (x[i] - x[i - 1]);
  return y[i - 1] + share * (y[i] - y[i - 1]);
}

/// The part of a line on one side of a limit.
FigureArea area_beyond(const FigureLine& line, double limit, bool below) {
  FigureArea area;
  area.name = below ? "figure.below_minimum"_w : "figure.above_maximum"_w;
  const double at_limit = between(line.x, line.y, limit);
  if (!below && line.x.front() < limit) {
    area.x.push_back(limit);
    area.y.push_back(at_limit);
  }
  for (std::size_t i = 0; i < line.x.size(); ++i) {
    if (below ? line.x[i] >= limit : line.x[i] <= limit) continue;
    area.x.push_back(line.x[i]);
    area.y.push_back(line.y[i]);
  }
  if (below && line.x.back() > limit) {
    area.x.push_back(limit);
    area.y.push_back(at_limit);
  }
  return area;
}

}  // namespace

std::array<double, 2> landed_range(const scenario::Scenario& scenario,
                                   const estimate::Landed& landed) {
  const double spread = std::max(landed.standard_deviation, 5e-4);
  double low = std::min(landed.quantiles[0] - 1.5 * spread, landed.mean - 3.0 * spread);
  double high = std::max(landed.quantiles[4] + 1.5 * spread, landed.mean + 3.0 * spread);
  const double far = 6.0 * spread;
  for (const auto& [side, limit] : estimate::limits_of(scenario.limits)) {
    if (limit < low - far || limit > high + far) continue;
    low = std::min(low, limit - spread);
    high = std::max(high, limit + spread);
  }
  return {std::max(low, 0.0), std::min(high, 1.0)};
}

FigureLevel limit_level(const estimate::Limit& limit, bool vertical) {
  return {100.0 * limit.value,
          shown(say(limit.below() ? "figure.minimum" : "figure.maximum", content(limit.value))),
          vertical};
}

Figure landed_figure(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                     const tank::LandedProfile& profile) {
  Figure figure;
  figure.title = scenario.title;
  FigureLine line;
  for (std::size_t i = 0; i < profile.content.size(); ++i) {
    line.x.push_back(100.0 * profile.content[i]);
    line.y.push_back(profile.density[i]);
  }
  figure.x = {"figure.landed.x"_w, line.x.front(), line.x.back(), false,
              linear_ticks(line.x.front(), line.x.back())};
  const double top = *std::max_element(line.y.begin(), line.y.end());
  figure.y = {"", 0.0, top > 0.0 ? 1.12 * top : 1.0, false, {}};
  for (const estimate::Limit& limit : estimate::limits_of(scenario.limits)) {
    figure.areas.push_back(area_beyond(line, 100.0 * limit.value, limit.below()));
    figure.levels.push_back(limit_level(limit, true));
  }
  std::erase_if(figure.areas, [](const FigureArea& area) { return area.x.size() < 2; });
  const bool shaded = std::any_of(figure.areas.begin(), figure.areas.end(),
                                  [&](const FigureArea& area) { return is_seen(figure, area); });
  figure.y.title =
      shown(say(shaded ? "figure.landed.shaded" : "figure.landed.y", chance(result.outside)));
  figure.lines.push_back(std::move(line));
  const auto& quantiles = result.landed.quantiles;
  figure.alt = shown(say("figure.landed.alt", content(quantiles[2], 1), content(quantiles[0], 1),
                         content(quantiles[4], 1), chance(result.outside)));
  return figure;
}

namespace {

std::vector<double> grid_to(double far) {
  std::vector<double> grid;
  for (std::size_t i = 0; i < k_rail_points; ++i) {
    grid.push_back(far * static_cast<double>(i) / (k_rail_points - 1));
  }
  return grid;
}

}  // namespace

std::vector<double> waiting_grid(const decide::ArriveResult& result) {
  return grid_to(std::max(result.waiting.until_l, 1.1 * result.enough.burn_l.value_or(0.0)));
}

std::vector<double> rail_grid(const decide::ArriveResult& result) {
  double far = result.arrival.rail.back().burn_l;
  if (result.wait_for.burn_l) far = std::max(far, 1.1 * (*result.wait_for.burn_l)[1]);
  if (!(far > 0.0)) far = 0.1;
  return grid_to(far);
}

void add_before(const scenario::Scenario& scenario, double low, double high, Figure& figure) {
  for (const estimate::Limit& limit : line::limits_before(scenario)) {
    if (limit.value < low || limit.value > high) continue;
    figure.levels.push_back(
        {100.0 * limit.value,
         shown(say(limit.below() ? "figure.before.minimum" : "figure.before.maximum",
                   content(limit.value))),
         false});
  }
}

FigureAxis burned_axis(const std::vector<double>& burn_l, const std::vector<double>& times_s,
                       UnitSystem units) {
  const ShownUnit unit = shown_unit(units::Dimension::volume, units);
  std::vector<double> x;
  for (const double one : burn_l) x.push_back(one * unit.factor);
  FigureAxis axis{
      shown(say(times_s.empty() ? "figure.rail.x" : "figure.rail.x.time", text(unit.name))),
      x.front(), x.back(), false, linear_ticks(x.front(), x.back())};
  if (times_s.empty()) return axis;
  for (Tick& tick : axis.ticks) tick.text += "\n" + shown(time(between(x, times_s, tick.at)));
  return axis;
}

FigureAxis content_axis(double low, double high) {
  const double room = 0.06 * (high - low) + 0.005;
  FigureAxis axis;
  axis.low = 100.0 * std::max(0.0, low - room);
  // With room for a label above the highest level.
  axis.high = 100.0 * std::min(1.0, high + 2.0 * room);
  axis.ticks = linear_ticks(axis.low, axis.high);
  add_unit(axis.ticks, "%");
  return axis;
}

Figure rail_figure(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                   const std::vector<double>& burn_l, const RailBands& bands,
                   const std::vector<double>& times_s, UnitSystem units) {
  Figure figure;
  figure.title = scenario.title;
  const std::vector<std::array<double, 3>>& band = bands.rail;
  const ShownUnit unit = shown_unit(units::Dimension::volume, units);
  FigureLine line;
  double low = 1.0;
  double high = 0.0;
  for (std::size_t i = 0; i < burn_l.size(); ++i) {
    line.x.push_back(burn_l[i] * unit.factor);
    line.y.push_back(100.0 * band[i][1]);
    line.band_low.push_back(100.0 * band[i][0]);
    line.band_high.push_back(100.0 * band[i][2]);
    low = std::min(low, band[i][0]);
    high = std::max(high, band[i][2]);
  }
  figure.x = burned_axis(burn_l, times_s, units);
  const bool rising = result.arrival.target.below();
  const double limit = result.arrival.target.value;
  low = std::min(low, limit);
  high = std::max(high, limit);
  figure.levels.push_back(
      {100.0 * limit,
       shown(say(rising ? "figure.rail.minimum" : "figure.rail.maximum", content(limit))), false});
  line.label = "figure.injectors"_w;
  figure.lines.push_back(std::move(line));
  std::string title = "figure.rail.y"_w;
  if (result.wait_for.reading) {
    const double reading = *result.wait_for.reading;
    FigureLine sensor;
    sensor.x = figure.lines.front().x;
    double apart = 0.0;
    for (std::size_t i = 0; i < bands.sensor.size(); ++i) {
      const double shows = bands.sensor[i][1];
      sensor.y.push_back(100.0 * shows);
      apart = std::max(apart, std::abs(shows - band[i][1]));
      low = std::min(low, shows);
      high = std::max(high, shows);
    }
    if (apart < k_one_curve) {
      figure.lines.front().label = "figure.injectors_and_sensor"_w;
    } else {
      sensor.label = "figure.sensor"_w;
      figure.lines.push_back(std::move(sensor));
      title = "figure.rail.y.sensor"_w;
    }
    low = std::min(low, reading);
    high = std::max(high, reading);
    figure.levels.push_back(
        {100.0 * reading, shown(say("figure.rail.wait", content(reading))), false});
  }
  add_before(scenario, low, high, figure);
  figure.y = content_axis(low, high);
  figure.y.title = title;
  const std::string alt = rising ? "figure.rail.alt.minimum" : "figure.rail.alt.maximum";
  const auto& reading = result.wait_for.reading;
  figure.alt = shown(
      say(reading ? alt + ".reading" : alt, content(band.front()[1], 1), content(band.back()[1], 1),
          volume(burn_l.back()), content(limit), reading ? content(*reading) : Value{}),
      units);
  return figure;
}

}  // namespace blendrisk::answer
