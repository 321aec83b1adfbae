#pragma once

#include <vector>

#include "decide/chance_curve.hpp"

/// Where a chance is within the accepted risk, as a function of one amount or reading.
namespace blendrisk::decide {

/// [low, high]; an end of the range where it reaches that far.
struct Span {
  double low, high;
};

struct Acceptable {
  std::vector<Span> spans;  ///< rising, apart
  /// Where the chance is least, of what was tried, where all ends were asked for.
  double least_at = 0.0;
};

/// Which ends of the spans are solved. Of the others a point of the grid stands in that is within
/// the risk, and beyond one that is clearly so nothing is looked at.
enum class Ends { all, lowest, highest };

/// The spans of x in [low, high] with chance <= risk, their ends to about a twentieth of `step`, if
/// that many points do. A grid of 33 points finds where the chance crosses the risk, each with as
/// few points as tell its side, a tilt fitted there where those of the own law do not; of
/// neighbours that only many points tell, only some take many (ChanceCurve::tell). Each
/// crossing is then solved on common points under one tilt (Boost.Math's TOMS 748, on the logarithm
/// of the chance), and a dip between two points of the grid that may reach the risk is searched for
/// its least (Brent). @throws estimate::ImpossibleScenario
Acceptable acceptable(tank::CommonRandomNumbers& points, const Put& put, double low, double high,
                      double step, double risk, const SearchSize& size, Ends ends = Ends::all);

}  // namespace blendrisk::decide
