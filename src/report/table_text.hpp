#pragma once

#include <optional>
#include <string>
#include <vector>

#include "decide/table.hpp"
#include "report/format.hpp"
#include "scenario/axis.hpp"

namespace blendrisk::report {

/// A table over two axes and one or more scenarios.
struct TableView {
  std::vector<std::string> files;             ///< as given
  std::vector<scenario::Scenario> scenarios;  ///< as they are without the axes
  scenario::Axis rows, columns;
  decide::Show show = decide::Show::amount;
  /// Scenario by scenario, row by row; or a contiguous share of them.
  std::vector<decide::Cell> cells;

  std::size_t cells_each() const { return rows.values.size() * columns.values.size(); }
};

/// A contiguous share of the cells: part `number` of `count`, from 1.
struct Part {
  std::size_t number = 1, count = 1;
};
std::size_t first_cell(const Part& part, std::size_t cells);

/// For people: one grid a scenario, what a cell means, cautions.
std::string table_text(const TableView& view, const estimate::Options& options, UnitSystem units);

/// One JSON object on one line: rows, columns, cells (rows of columns; a list of those where there
/// are several scenarios). Litres and fractions.
std::string table_json(const TableView& view, const estimate::Options& options, double elapsed_s);

/// One line a cell, in litres or fractions; a cell that nothing satisfies has no number and says
/// why. A part begins with a line that says which it is, and is otherwise the whole's lines.
std::string table_csv(const TableView& view, const std::optional<Part>& part);

/// @throws std::invalid_argument where the text is no part of a table
void check_part(const std::string& text);

/// The whole from its parts in any order.
/// @throws std::invalid_argument with what is wrong: no part, parts of different tables, one
///   missing or twice
std::string joined_csv(const std::vector<std::string>& parts);

}  // namespace blendrisk::report
