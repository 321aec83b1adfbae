#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "cli/shop_grid.hpp"

namespace blendrisk::cli {

/// Changes a year of every car at every pump, car by car: a whole number for all of them, or a CSV
/// file with the columns car, pump and changes, whose cells name a car or a pump by its title, its
/// file or its file's name without the ending. What no row names has none.
/// @param told  as given for --changes
/// @throws text::Error naming the file and the line
std::vector<double> yearly_changes(const std::string& told, const ShopGrid& grid);

}  // namespace blendrisk::cli
