#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "units/quantity.hpp"

/// Columns of a CSV file as values in inner units.
namespace blendrisk::scenario {

/// A column to be read as numbers.
struct Wanted {
  std::string column;
  units::Dimension dimension = units::Dimension::number;
  bool required = true;
  std::string or_else = {};  ///< stands in for an absent column; its cells carry their units
};

struct Columns {
  std::vector<std::string> names;               ///< of the header line
  std::vector<std::size_t> lines;               ///< where each row stands, from 1
  std::vector<std::vector<double>> values;      ///< one a wanted column; empty where it is absent
  std::vector<std::vector<std::string>> texts;  ///< one a text column
};

/// Whether the first line of the CSV `text` names the column.
bool names_column(std::string_view text, std::string_view column);

/// Several columns of the CSV `text`, whose first line names the columns, in one pass. A cell
/// carries its unit ("78 %") or takes the one in the column's ending (_percent, _l, _ml, _gal,
/// _l_per_h, _s, _min, _km, _mi); a time may be m:ss or h:mm:ss, too. Empty lines are skipped;
/// quotes around cells are allowed. A line with more cells than columns is refused: a decimal comma
/// makes one.
/// @param file  shown in errors   @param text_columns  wanted as they stand; cells may be empty
/// @throws text::Error
Columns read_columns(const std::string& file, std::string_view text,
                     const std::vector<Wanted>& wanted,
                     const std::vector<std::string>& text_columns = {});

/// The unit that a column's ending names, "L" for "shown_l"; empty where it names none.
std::string unit_of(std::string_view column);

/// The value of a cell in inner units: a number in `unit`, or one that carries its own.
/// @param unit  empty: the cell has to carry it   @throws text::Error for any other text
double cell_value(std::string_view cell, const std::string& unit, units::Dimension dimension);

/// The values of one column, see read_columns.
/// @throws text::Error
std::vector<double> read_column(const std::string& file, std::string_view text,
                                const std::string& column, units::Dimension dimension);

}  // namespace blendrisk::scenario
