#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "decide/cells.hpp"
#include "tank/chance.hpp"

namespace blendrisk::decide {

/// What the cells of a table hold.
enum class Show { amount, heel, chance };

/// One cell: the safe amount or the highest reading [L], none where no value will do; or the chance
/// of landing outside the limits.
struct Cell {
  std::optional<double> litres;
  std::optional<estimate::Estimate> chance;
  std::uint64_t evaluations = 0;
  tank::Methods methods{};
  /// The other end, where a limit binds there too: the largest amount, or the lowest reading [L].
  std::optional<double> other_end_l = {};
  std::optional<double> again_from_l = {};  ///< of amounts, see AllowedAmounts
};

/// @param step_l of the display that amounts or readings are rounded to
/// @throws estimate::ImpossibleScenario
Cell table_cell(const scenario::Scenario& scenario, Show show, const estimate::Options& options,
                double step_l);

/// Makes the scenario of a cell by its number.
using CellScenario = std::function<scenario::Scenario(std::size_t)>;

/// Cells [from, to), see cells_of.
std::vector<Cell> table_cells(std::size_t from, std::size_t to, const CellScenario& scenario_of,
                              Show show, const estimate::Options& options, double step_l,
                              const CellProgress& progress);

}  // namespace blendrisk::decide
