#pragma once

#include <array>
#include <vector>

#include "line/fuel_line.hpp"

/// Contents in the line along what was burned, as pictures show them.
namespace blendrisk::line {

/// Content at the injectors once so much was burned: 5 %, median and 95 % over the cases.
std::vector<std::array<double, 3>> rail_band(const Line& line, const std::vector<double>& burn_l,
                                             const estimate::Options& options);

/// What the sensor shows once so much was burned, its lag, bias and noise in it, before the display
/// rounds it: 5 %, median and 95 % over the cases of rail_band.
std::vector<std::array<double, 3>> shown_band(const Line& line, const std::vector<double>& burn_l,
                                              const estimate::Options& options);

}  // namespace blendrisk::line
