#include "cli/shop_table.hpp"

#include "answer/shop_table.hpp"
#include "cli/answering.hpp"
#include "cli/shop_grid.hpp"
#include "decide/cells.hpp"
#include "render/table_csv.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_most_shop_cells = 100'000;

/// One cell: its answer, or why there is none.
struct ShopCell {
  decide::Cell cell{};
  std::string refused{};
  double accepted_risk = 0.0;
};

ShopCell cell_of(const ShopGrid& grid, std::size_t number, const Arguments& arguments,
                 const decide::SweepRequest& request, const estimate::Options& options) {
  ShopCell cell;
  try {
    const auto scenario = grid.scenario_of(grid.shape().row_of(number),
                                           grid.shape().column_of(number), arguments.overrides);
    cell.accepted_risk = scenario.limits.accepted_risk;
    cell.cell = decide::swept(scenario, request, options);
  } catch (const Error& error) {
    cell.refused = error.what();
  } catch (const estimate::ImpossibleScenario& error) {
    cell.refused = answer::reason(error);
  }
  return cell;
}

/// The accepted risk where all cells have the same.
std::optional<double> one_risk(const std::vector<std::optional<double>>& risks) {
  std::optional<double> risk;
  for (const std::optional<double>& one : risks) {
    if (one && risk && *one != *risk) return {};
    if (one) risk = one;
  }
  return risk;
}

bool is_met(const ShopCell& one) {
  return one.refused.empty() && decide::is_met(one.cell, one.accepted_risk);
}

answer::ShopTableView view_of(const ShopGrid& grid, const Arguments& arguments) {
  answer::ShopTableView view;
  for (const ShopFile& car : grid.cars()) {
    view.cars.push_back(car.title);
    view.car_files.push_back(car.path);
  }
  for (const ShopFile& pump : grid.pumps()) {
    view.pumps.push_back(pump.title);
    view.pump_files.push_back(pump.path);
  }
  view.request = table_request(arguments);
  view.accepted_risk = one_risk(grid.checked(arguments.overrides));
  return view;
}

}  // namespace

decide::SweepRequest table_request(const Arguments& arguments) {
  using decide::Show;
  const answer::UnitSystem units = arguments.units;
  if (arguments.show == "heel") return {.show = Show::heel, .step_l = answer::gauge_step(units)};
  return {.show = arguments.show == "chance" ? Show::chance : Show::amount,
          .step_l = answer::dispenser_step(units)};
}

Answer answer_shop_table(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  const ShopGrid grid(arguments);
  const std::size_t all = grid.shape().cells();
  require_at_most(call, k_most_shop_cells, "cells", all);
  answer::ShopTableView view = view_of(grid, arguments);
  const render::CellRange range = render::cells_in(arguments.part, all);
  view.from = range.from;
  const auto cells = swept(call, "cells", "", [&](const auto& progress) {
    return decide::cells_of<ShopCell>(range.from, range.to, arguments.options, progress,
                                      [&](std::size_t i, const estimate::Options& single) {
                                        return cell_of(grid, i, arguments, view.request, single);
                                      });
  });
  bool met = true;
  for (const ShopCell& one : cells) {
    met = met && is_met(one);
    view.cells.push_back(one.cell);
    view.refused.push_back(one.refused);
  }
  const int status = judged(arguments, met);
  const std::string title = answer::shop_title(view.cars.size(), view.pumps.size());
  write_figure_or_data(
      arguments, [&] { return answer::shop_figure(title, view, arguments.units); },
      [&] { return render::table_csv(view, arguments.part); });
  if (!arguments.output.empty() && !arguments.json) {
    return {render::written_text(arguments.output, {}, arguments.units), status};
  }
  scenario::Scenario named;
  named.title = title;
  return {told(arguments, named, view, watch.seconds()), status};
}

}  // namespace blendrisk::cli
