#pragma once

#include <vector>

#include "tank/condition.hpp"

namespace blendrisk::tank {

/// How the landed content is spread: its density in the middles of equal cells, as a picture shows
/// it. The density times the width of a cell sums to about the chance of the range.
struct LandedProfile {
  std::vector<double> content;  ///< middles of the cells
  std::vector<double> density;
  double width = 0.0;
};

/// From the mean, over scrambled Sobol' points, of the distribution function given all inputs but
/// one without steps: a content, or the gauge's error; where there is none, from their counts. Its
/// increments are smoothed by a normal kernel of at least one and a half cells: given all but a
/// content, 0.7 of the width of B. W. Silverman, Density Estimation for Statistics and Data
/// Analysis (1986), equation 3.31 (from memory); of counts 1.3 of it. The factors were chosen by
/// eye.
/// @param low, high  range of contents, low < high
LandedProfile landed_profile(const sampling::CaseInputs& inputs, std::uint64_t seed, double low,
                             double high, std::size_t cells);

}  // namespace blendrisk::tank
