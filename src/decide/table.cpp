#include "decide/table.hpp"

#include <algorithm>

#include "decide/fill.hpp"
#include "decide/heel.hpp"
#include "estimate/parallel.hpp"

namespace blendrisk::decide {
namespace {

/// Cells between two words on progress.
constexpr std::size_t k_wave = 64;

}  // namespace

Cell table_cell(const scenario::Scenario& scenario, Show show, const estimate::Options& options,
                double step_l) {
  const Effort effort{4, 6, {}};
  Cell cell;
  switch (show) {
    case Show::amount:
      cell.litres = safe_amount(scenario, options, step_l, cell.evaluations, effort);
      break;
    case Show::heel:
      if (const auto found =
              readings_within_risk(scenario, options, step_l, cell.evaluations, effort)) {
        cell.litres = found->highest;
      }
      break;
    case Show::chance:
      const auto outside = estimate::estimate_outside(scenario, options);
      cell.chance = outside.estimate;
      cell.evaluations = outside.evaluations;
      break;
  }
  return cell;
}

std::vector<Cell> table_cells(std::size_t from, std::size_t to, const CellScenario& scenario_of,
                              Show show, const estimate::Options& options, double step_l,
                              const CellProgress& progress) {
  estimate::Options single = options;
  single.threads = 1;
  std::vector<Cell> cells(to - from);
  for (std::size_t start = from; start < to; start += k_wave) {
    if (!progress(start - from, to - from)) return {};
    const std::size_t count = std::min(k_wave, to - start);
    estimate::in_parallel(count, options.threads, [&] {
      return [&](std::size_t i) {
        cells[start - from + i] = table_cell(scenario_of(start + i), show, single, step_l);
      };
    });
  }
  if (!progress(to - from, to - from)) return {};
  return cells;
}

}  // namespace blendrisk::decide
