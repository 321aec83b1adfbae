#include "decide/table.hpp"

#include "decide/allowed.hpp"
#include "decide/heel.hpp"
#include "decide/variants.hpp"

namespace blendrisk::decide {
namespace {

void put_amounts(const scenario::Scenario& scenario, const estimate::Options& options,
                 double step_l, const Effort& effort, Cell& cell) {
  AmountSearch search(scenario, options, step_l, effort);
  if (const auto allowed = search.allowed()) {
    cell.litres = allowed->least;
    cell.other_end_l = allowed->largest;
    cell.again_from_l = allowed->again_from;
  }
  cell.evaluations = search.evaluations();
}

}  // namespace

Cell table_cell(const scenario::Scenario& scenario, Show show, const estimate::Options& options,
                double step_l) {
  const Effort effort{4, 6, {}};
  Cell cell;
  cell.methods = methods_of_solving(scenario, options);
  switch (show) {
    case Show::amount:
      put_amounts(scenario, options, step_l, effort, cell);
      break;
    case Show::heel:
      if (const auto found =
              readings_within_risk(scenario, options, step_l, cell.evaluations, effort)) {
        cell.litres = found->highest;
        if (found->lowest > 0.0) cell.other_end_l = found->lowest;
      }
      break;
    case Show::chance:
      const auto outside = tank::estimate_outside(scenario, options);
      cell.chance = outside.estimate;
      cell.evaluations = outside.evaluations;
      cell.methods = outside.methods;
      break;
  }
  return cell;
}

std::vector<Cell> table_cells(std::size_t from, std::size_t to, const CellScenario& scenario_of,
                              Show show, const estimate::Options& options, double step_l,
                              const CellProgress& progress) {
  return cells_of<Cell>(from, to, options, progress,
                        [&](std::size_t i, const estimate::Options& single) {
                          return table_cell(scenario_of(i), show, single, step_l);
                        });
}

}  // namespace blendrisk::decide
