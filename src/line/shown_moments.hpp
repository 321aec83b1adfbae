#pragma once

#include <vector>

#include "line/fuel_line.hpp"

/// When a reading is first shown.
namespace blendrisk::line {

/// Burned volume and time at which the sensor's display first shows `reading` or beyond, over the
/// cases in which it ever does.
struct ShownMoments {
  std::vector<double> burn_l;
  std::vector<double> time_s;  ///< only where the scenario has rates
};

/// @param reading  as it is before the display rounds it, awaited from its side
ShownMoments moments_shown(const Line& line, const estimate::Limit& reading, std::uint64_t cases,
                           const estimate::Options& options);

}  // namespace blendrisk::line
