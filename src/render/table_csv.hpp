#pragma once

#include <optional>
#include <string>
#include <vector>

#include "answer/shop_table.hpp"
#include "answer/table.hpp"

/// A table as data, whole or in parts that join to the whole.
namespace blendrisk::render {

/// A contiguous share of the cells: part `number` of `count`, from 1.
struct Part {
  std::size_t number = 1, count = 1;
};
/// The numbers of its cells of so many, [from, to); without a part those of all.
struct CellRange {
  std::size_t from = 0, to = 0;
};
CellRange cells_in(const std::optional<Part>& part, std::size_t cells);

/// One line a cell, in litres or fractions; a cell that nothing satisfies has no number and says
/// why. A part begins with a line that says which it is, and is otherwise the whole's lines.
std::string table_csv(const answer::TableView& view, const std::optional<Part>& part);

/// The same of every car with every pump.
std::string table_csv(const answer::ShopTableView& view, const std::optional<Part>& part);

/// What a reader of parts accepts, as the tail of an error message.
inline constexpr const char* k_parts_accepted = "files of `table --part k/n` are accepted";

/// @throws text::Error where the text is no part of a table
void check_part(const std::string& text);

/// The whole from its parts in any order.
/// @throws text::Error with what is wrong: no part, parts of different tables, one
///   missing or twice
std::string joined_csv(const std::vector<std::string>& parts);

}  // namespace blendrisk::render
