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
  const std::size_t pumps = grid.pumps().size();
  ShopCell cell;
  try {
    const auto scenario = grid.scenario_of(number / pumps, number % pumps, arguments.overrides);
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
  if (!one.refused.empty()) return false;
  return one.cell.chance ? one.cell.chance->chance <= one.accepted_risk
                         : one.cell.litres.has_value();
}

answer::ShopTableView view_of(const ShopGrid& grid, const Arguments& arguments) {
  using decide::Show;
  answer::ShopTableView view;
  for (const ShopFile& car : grid.cars()) {
    view.cars.push_back(car.title);
    view.car_files.push_back(car.path);
  }
  for (const ShopFile& pump : grid.pumps()) {
    view.pumps.push_back(pump.title);
    view.pump_files.push_back(pump.path);
  }
  view.request.show = arguments.show == "heel"     ? Show::heel
                      : arguments.show == "chance" ? Show::chance
                                                   : Show::amount;
  view.request.step_l = view.request.show == Show::heel ? answer::gauge_step(arguments.units)
                                                        : answer::dispenser_step(arguments.units);
  view.accepted_risk = one_risk(grid.checked(arguments.overrides));
  return view;
}

}  // namespace

Answer answer_shop_table(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  const ShopGrid grid(arguments);
  if (grid.cells() > k_most_shop_cells) {
    throw Error("table: there are more than 100000 cells; fewer are accepted");
  }
  answer::ShopTableView view = view_of(grid, arguments);
  const render::Part part = arguments.part.value_or(render::Part{});
  view.from = render::first_cell(part, grid.cells());
  const std::size_t to = render::first_cell({part.number + 1, part.count}, grid.cells());
  const auto cells = swept(call, "cells", "", [&](const auto& progress) {
    return decide::cells_of<ShopCell>(view.from, to, arguments.options, progress,
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
  if (const auto format = picture_format(arguments.output)) {
    write_picture(arguments.output, answer::shop_figure(title, view, arguments.units), *format);
  } else if (!arguments.output.empty()) {
    write_output(arguments.output, render::table_csv(view, arguments.part));
  }
  if (!arguments.output.empty() && !arguments.json) {
    return {render::written_text(arguments.output, {}, arguments.units), status};
  }
  scenario::Scenario named;
  named.title = title;
  return {told(arguments, named, view, watch.seconds()), status};
}

}  // namespace blendrisk::cli
