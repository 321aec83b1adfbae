#pragma once

#include <optional>
#include <string>
#include <vector>

#include "answer/answers.hpp"
#include "decide/sweep.hpp"
#include "scenario/axis.hpp"

/// What `table` answers.
namespace blendrisk::answer {

/// Where a cell stands: in the grid of a scenario.
struct TablePlace {
  std::size_t file = 0, row = 0, column = 0;
};

/// A table over two axes and one or more scenarios.
struct TableView {
  std::vector<std::string> files;             ///< as given
  std::vector<scenario::Scenario> scenarios;  ///< as they are without the axes
  scenario::Axis rows, columns;
  decide::SweepRequest request{.show = decide::Show::amount};
  /// Scenario by scenario, row by row; or a contiguous share of them.
  std::vector<decide::Cell> cells;

  /// The grid of each scenario.
  decide::GridShape shape() const { return {rows.values.size(), columns.values.size()}; }
  std::size_t all_cells() const { return files.size() * shape().cells(); }
  TablePlace place_of(std::size_t cell) const;
};

/// One grid a scenario, what a cell means, and with the last how it was computed.
std::vector<Description> described(const Asked& asked, const TableView& view);

/// rows, columns, cells (rows of columns; a list of those where there are several scenarios).
Json members(const Asked& asked, const TableView& view);

/// What a cell holds, and the other end of what is within the risk, as JSON and CSV name them; and
/// why there is none.
std::string show_name(decide::Show show);
std::string other_end_name(decide::Show show);
std::string none_reason(decide::Show show);

/// The same for people: what every cell holds, with the risk where it is one for all, and a cell
/// that has a number, "18.87 to 22.52 L".
Value meaning_of_cells(decide::Show show, const std::optional<double>& accepted_risk);
Value shown_cell(const decide::Cell& cell, decide::Show show);

/// A cell as JSON, null where it has no number.
Json cell_members(const decide::Cell& cell, decide::Show show);

}  // namespace blendrisk::answer
