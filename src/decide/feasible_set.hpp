#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "tank/common_random_numbers.hpp"

/// Where a chance is within the accepted risk, as a function of one amount or reading.
namespace blendrisk::decide {

/// [low, high]; an end of the range where it reaches that far.
struct Span {
  double low, high;
};

struct Acceptable {
  std::vector<Span> spans;  ///< rising, apart
  double least_at = 0.0;    ///< where the chance is least, of what was tried
};

/// Points of each of 16 replicates, see estimate::Size: on the grid and for a crossing, and to go
/// over a crossing once more.
struct SearchSize {
  unsigned grid = 4;
  unsigned crossing = 6;              ///< some tenths of a percent of the chance
  std::optional<unsigned> last = 11;  ///< the most, some thousandths; none for tables
};

/// Puts a value into the scenario.
using Put = std::function<void(scenario::Scenario&, double)>;

/// The spans of x in [low, high] with chance <= risk, their ends to about a twentieth of `step`, if
/// that many points do. A grid of 33 points finds where the chance crosses the risk, each with as
/// few points as tell its side, a tilt fitted there where those of the own law do not; each
/// crossing is then solved on common points under one tilt (Boost.Math's TOMS 748, on the logarithm
/// of the chance), and a dip between two points of the grid that may reach the risk is searched for
/// its least (Brent). @throws estimate::ImpossibleScenario
Acceptable acceptable(tank::CommonRandomNumbers& points, const Put& put, double low, double high,
                      double step, double risk, const SearchSize& size);

}  // namespace blendrisk::decide
