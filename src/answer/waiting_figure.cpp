#include <algorithm>

#include "answer/curve.hpp"
#include "answer/run_figures.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

/// What has to show as a flight of steps: each row's reading holds until the next.
FigureLine steps_of(const decide::WaitingTable& table, double factor, double far_l) {
  FigureLine line;
  for (std::size_t k = 0; k < table.rows.size(); ++k) {
    const bool last = k + 1 == table.rows.size();
    for (const double burn_l : {table.rows[k].burn_l, last ? far_l : table.rows[k + 1].burn_l}) {
      line.x.push_back(burn_l * factor);
      line.y.push_back(100.0 * table.rows[k].reading);
    }
  }
  line.label = "figure.waiting.needed"_w;
  return line;
}

}  // namespace

Figure waiting_figure(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                      const std::vector<double>& burn_l, const RailBands& bands,
                      const std::vector<double>& times_s, UnitSystem units) {
  const decide::WaitingTable& table = result.waiting;
  const bool rising = result.arrival.target.below();
  const double limit = result.arrival.target.value;
  const double factor = shown_unit(units::Dimension::volume, units).factor;
  Figure figure;
  figure.title = scenario.title;
  figure.x = burned_axis(burn_l, times_s, units);
  figure.lines.push_back(steps_of(table, factor, burn_l.back()));
  FigureLine sensor;
  FigureLine rail;
  double low = std::min(limit, table.rows.back().reading);
  double high = std::max(limit, table.rows.front().reading);
  for (std::size_t i = 0; i < burn_l.size(); ++i) {
    for (FigureLine* line : {&sensor, &rail}) line->x.push_back(burn_l[i] * factor);
    const auto& [from, middle, to] = bands.sensor[i];
    sensor.y.push_back(100.0 * middle);
    sensor.band_low.push_back(100.0 * from);
    sensor.band_high.push_back(100.0 * to);
    rail.y.push_back(100.0 * bands.rail[i][1]);
    low = std::min({low, from, bands.rail[i][1]});
    high = std::max({high, to, bands.rail[i][1]});
  }
  sensor.label = "figure.sensor"_w;
  rail.label = "figure.injectors"_w;
  figure.lines.push_back(std::move(sensor));
  figure.lines.push_back(std::move(rail));
  figure.levels.push_back(
      {100.0 * limit,
       shown(say(rising ? "figure.rail.minimum" : "figure.rail.maximum", content(limit))), false});
  if (result.enough.burn_l) {
    const double enough = *result.enough.burn_l;
    figure.levels.push_back(
        {enough * factor, shown(say("figure.waiting.without", volume(enough)), units), true});
  }
  add_before(scenario, low, high, figure);
  figure.y = content_axis(low, high);
  figure.y.title = rising ? "figure.waiting.y.more"_w : "figure.waiting.y.less"_w;
  figure.alt = shown(say(rising ? "figure.waiting.alt.more" : "figure.waiting.alt.less",
                         content(table.rows.front().reading), volume(table.rows.front().burn_l),
                         content(table.rows.back().reading), volume(table.rows.back().burn_l),
                         content(bands.sensor.front()[1], 1), content(bands.sensor.back()[1], 1),
                         volume(burn_l.back()), content(limit)),
                     units);
  return figure;
}

}  // namespace blendrisk::answer
