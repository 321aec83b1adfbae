#include "decide/guide.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/round_step.hpp"
#include "scenario/way.hpp"
#include "tank/between_fills.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Options;
using scenario::Scenario;

/// Readings from the lowest within the dry risk, up to a third of the tank or a little past that
/// reading or what it shows now, round in the gauge's unit.
std::vector<double> readings_of(const Scenario& scenario, const std::optional<double>& lowest_l,
                                double gauge_step_l) {
  if (!lowest_l) return {};
  const double unit = 10.0 * gauge_step_l;
  const double shown = std::max(scenario.heel.indicated_l, *lowest_l);
  const double far = std::min(std::max(scenario.tank.capacity_l / 3.0, 1.3 * shown),
                              0.9 * scenario.tank.capacity_l);
  const double step = numeric::round_step(far / unit / 9.0, {1.0, 2.0, 2.5, 5.0}) * unit;
  std::vector<double> readings;
  for (int k = 0; k < 11 && k * step <= far * (1.0 + 1e-9); ++k) {
    if (k * step >= *lowest_l) readings.push_back(k * step);
  }
  return readings;
}

/// Five whole percents over the middle 95 % of what the last pump may deliver.
std::vector<double> contents_of(const Scenario& scenario) {
  const distributions::Distribution& law = scenario.fills.back().content;
  double low = std::floor(100.0 * distributions::quantile(law, 0.025) + 1e-9);
  double high = std::ceil(100.0 * distributions::quantile(law, 0.975) - 1e-9);
  if (high - low < 4.0) {
    const double middle = std::round(0.5 * (low + high));
    low = middle - 2.0;
    high = middle + 2.0;
  }
  low = std::clamp(low, 0.0, 96.0);
  high = std::clamp(high, low + 4.0, 100.0);
  std::vector<double> contents;
  for (const double share : {0.0, 0.25, 0.5, 0.75, 1.0}) {
    contents.push_back(std::round(low + share * (high - low)) / 100.0);
  }
  return contents;
}

GuideTable table_of(const Scenario& scenario, const std::optional<double>& lowest_l,
                    const Options& options, const GuideSteps& steps) {
  GuideTable table{readings_of(scenario, lowest_l, steps.gauge_l), contents_of(scenario), {}};
  table.cells = cells_of<Cell>(
      0, table.shape().cells(), options, {}, [&](std::size_t i, const Options& single) {
        Scenario cell = scenario;
        cell.heel.indicated_l = table.reading_of(i);
        cell.fills.back().content = distributions::exact(table.content_of(i));
        // From some readings the tank runs empty on the way to a later fill: none there.
        try {
          return swept(cell, {Show::amount, steps.dispenser_l}, single);
        } catch (const estimate::ImpossibleScenario&) {
          return Cell{};
        }
      });
  return table;
}

void add_curve(const Scenario& scenario, const Options& options, Guide& guide) {
  constexpr std::size_t k_points = 81;
  const double low = scenario.tank.pickup_floor_l;
  const double high = std::min(scenario.tank.capacity_l, std::max(0.4 * scenario.tank.capacity_l,
                                                                  1.3 * scenario.heel.indicated_l));
  const auto reading = [&](std::size_t i) {
    return low + (high - low) * static_cast<double>(i) / (k_points - 1);
  };
  const auto points =
      cells_of<Cell>(0, k_points, options, {}, [&](std::size_t i, const Options& single) {
        Scenario at = scenario;
        at.heel.indicated_l = reading(i);
        try {
          return swept(at, {}, single);
        } catch (const estimate::ImpossibleScenario&) {
          return Cell{};
        }
      });
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!points[i].chance) continue;
    guide.curve_l.push_back(reading(i));
    guide.curve.push_back(points[i]);
  }
  guide.crossings = find_crossings(guide.curve_l, guide.curve, scenario.limits.accepted_risk,
                                   [&](double reading_l) {
                                     Scenario at = scenario;
                                     at.heel.indicated_l = reading_l;
                                     return swept(at, {}, options).chance->chance;
                                   });
}

}  // namespace

std::vector<RunOn> run_on(const std::vector<estimate::Leg>& legs) {
  using estimate::Fits;
  std::vector<RunOn> all;
  bool left = false;
  for (const estimate::Leg& leg : legs) {
    const bool old_one = leg.fits == Fits::old_one || leg.fits == Fits::both;
    const bool new_one = leg.fits == Fits::new_one || leg.fits == Fits::both;
    all.push_back(!leg.fits ? RunOn::unknown
                  : left    ? (new_one ? RunOn::changed : RunOn::none)
                  : old_one ? RunOn::keep
                  : new_one ? RunOn::change
                            : RunOn::none);
    left = left || all.back() == RunOn::change;
  }
  return all;
}

Guide make_guide(const Scenario& scenario, const Options& options, const GuideSteps& steps) {
  Guide guide;
  const auto chance = [&] { return tank::estimate_chance(scenario, options); };
  guide.done = scenario.fills.back().shown_l.has_value();
  guide.chance = guide.done ? chance() : tank::with_between_fills(scenario, options, chance);
  if (!guide.done) guide.legs = run_on(guide.chance.between);
  if (line::has_volume(scenario.line)) guide.arrive = solve_arrive(scenario, options, steps.burn_l);
  const auto some = [&](RunOn one) {
    return std::count(guide.legs.begin(), guide.legs.end(), one) > 0;
  };
  const bool arrives = !guide.arrive || guide.arrive->met || some(RunOn::change);
  guide.works =
      guide.chance.met && arrives && !some(RunOn::none) && (guide.done || guide.chance.dry_met);
  if (guide.done) return guide;
  guide.fill = solve_fill(scenario, options, steps.dispenser_l, steps.gauge_l);
  guide.heel = solve_heel(scenario, options, steps.gauge_l);
  const Scenario there = scenario::at_pump(scenario);
  if (scenario.fills.size() == 1) {
    guide.table = table_of(there, guide.heel.lowest_indicated_l, options, steps);
  }
  add_curve(there, options, guide);
  return guide;
}

}  // namespace blendrisk::decide
