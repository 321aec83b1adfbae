#include "answer/run_figures.hpp"

#include <algorithm>
#include <cmath>

#include "answer/answers.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using decide::Driver;
using decide::Drivers;
using estimate::Index;

FigureBar bar_of(const Index& index) {
  const auto percent = [](double value) { return 100.0 * std::max(0.0, value); };
  if (!std::isfinite(index.value)) return {index.value, 0.0, 0.0, "figure.no_share"_w};
  return {percent(index.value), percent(index.interval[0]), percent(index.interval[1]),
          shown(share(index))};
}

}  // namespace

Figure drivers_figure(const scenario::Scenario& scenario, const Drivers& result) {
  Figure figure;
  figure.title = scenario.title;
  figure.y.title = "figure.drivers.y"_w;
  std::vector<const Driver*> order;
  for (const Driver& driver : result.inputs) order.push_back(&driver);
  const auto larger = [](const Driver* driver) {
    const auto& [alone, in_all] = driver->indices;
    return std::max(alone.value, in_all.value);
  };
  std::stable_sort(order.begin(), order.end(),
                   [&](const Driver* a, const Driver* b) { return larger(a) > larger(b); });
  double high = 10.0;
  for (const Driver* driver : order) {
    FigureRow row{label(driver->key), {}};
    for (const Index* index : {&driver->indices.first_order, &driver->indices.total}) {
      row.bars.push_back(bar_of(*index));
      if (std::isfinite(row.bars.back().value)) high = std::max(high, row.bars.back().high);
    }
    figure.rows.push_back(std::move(row));
  }
  if (scenario.correlations.empty()) {
    figure.bar_names = {"figure.alone"_w, "figure.in_all"_w};
  } else {
    figure.bar_names = {"figure.alone.correlated"_w, "figure.in_all.correlated"_w};
    figure.notes.push_back("figure.correlated"_w);
  }
  if (order.empty()) {
    figure.bar_names.clear();
    figure.notes.push_back("figure.certain"_w);
  }
  figure.x = {"figure.drivers.x"_w, 0.0, 1.02 * high, false, {}};
  figure.x.ticks = linear_ticks(0.0, figure.x.high);
  Value inputs;
  for (const FigureRow& row : figure.rows) {
    const Value one = say("figure.drivers.alt.input", text(row.label), text(row.bars[0].text),
                          text(row.bars[1].text));
    inputs = inputs ? say("list.clause", inputs, one) : one;
  }
  figure.alt = shown(inputs ? say("figure.drivers.alt", inputs) : say("figure.drivers.alt.none"));
  return figure;
}

}  // namespace blendrisk::answer
