#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "units/quantity.hpp"

/// One column of a CSV file as values in inner units.
namespace blendrisk::scenario {

/// what() is `FILE:LINE: what is wrong; what is accepted`.
struct ColumnError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// The values of `column` in the comma-separated `text`, whose first line names the columns. A cell
/// carries its unit ("78 %") or takes the one in the column's ending (_percent, _l, _ml, _gal,
/// _l_per_h). Empty lines are skipped; quotes around cells are allowed.
/// @param file  shown in errors
/// @throws ColumnError
std::vector<double> read_column(const std::string& file, std::string_view text,
                                const std::string& column, units::Dimension dimension);

}  // namespace blendrisk::scenario
