#include <algorithm>
#include <cmath>

#include "answer/policy.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using decide::PolicyYear;

/// From the strictest on, as the axis goes.
template <class One>
std::vector<One> rising(std::vector<One> all) {
  std::ranges::reverse(all);
  return all;
}

/// In percent of the largest, so that one axis does for chances and money.
FigureLine share_line(const std::vector<double>& x, const std::vector<double>& values,
                      const std::string& label, double& most) {
  most = *std::ranges::max_element(values);
  FigureLine line;
  line.label = label;
  line.x = x;
  for (const double value : values) {
    line.y.push_back(most > 0.0 ? 100.0 * std::max(value, 0.0) / most : 0.0);
  }
  return line;
}

FigureLine year_line(const PolicyView& view, decide::YearFigure decide::Year::*which,
                     const std::string& label) {
  FigureLine line;
  line.label = label;
  for (const PolicyYear& year : rising(view.result.years)) {
    line.x.push_back(100.0 * year.risk);
    line.y.push_back(100.0 * (year.year.*which).value);
  }
  return line;
}

Value title_of(const PolicyView& view) {
  const auto counted = [](std::string id, std::size_t number) {
    if (number == 1) id += ".one";
    return say(id, count(number));
  };
  return say("policy.figure.title", counted("policy.cars", view.cars.size()),
             counted("policy.pumps", view.pumps.size()));
}

}  // namespace

Figure policy_figure(const PolicyView& view) {
  const std::vector<PolicyYear>& years = view.result.years;
  Figure figure;
  figure.title = shown(title_of(view));
  figure.x = {"policy.figure.x"_w, 100.0 * years.back().risk, 100.0 * years.front().risk, true, {}};
  figure.x.ticks = chance_ticks(figure.x.low, figure.x.high);
  figure.y = {"", 0.0, 105.0, false, linear_ticks(0.0, 100.0)};
  add_unit(figure.y.ticks, "policy.figure.y"_w);
  figure.lines = {year_line(view, &decide::Year::any, "policy.figure.any"_w),
                  year_line(view, &decide::Year::independent, "policy.figure.independent"_w)};
  double most = 0.0;
  const std::vector<double> x = figure.lines[0].x;
  figure.lines.push_back(
      share_line(x, rising(view.result.same_changes_l), "policy.figure.fuel"_w, most));
  figure.notes.push_back(shown(say("policy.figure.fuel.note", volume(std::round(most)))));
  if (const auto& costs = view.result.costs) {
    std::vector<double> total;
    for (std::size_t i = 0; i < costs->risks.size(); ++i) {
      total.push_back(costs->fuel[i] + costs->least.cost_of_miss * costs->misses[i]);
    }
    figure.lines.push_back(share_line(x, rising(total), "policy.figure.both"_w, most));
    figure.notes.push_back(shown(say("policy.figure.both.note", fixed(most, 0))));
  }
  if (years.back().unserved_places > years.front().unserved_places) {
    figure.notes.push_back("policy.note.carried"_w);
  }
  if (view.request.year_risk) {
    figure.levels.push_back({100.0 * *view.request.year_risk,
                             shown(say("policy.figure.year", percent(*view.request.year_risk)))});
  }
  const PolicyYear& wall = view.wall();
  figure.levels.push_back(
      {100.0 * wall.risk, shown(say("policy.figure.wall", percent(wall.risk))), true});
  const auto any = [](const PolicyYear& year) { return percent(year.year.any.value, 3); };
  figure.alt = shown(say("policy.figure.alt", any(years.front()), percent(years.front().risk),
                         any(years.back()), percent(years.back().risk)));
  return figure;
}

}  // namespace blendrisk::answer
