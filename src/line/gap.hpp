#pragma once

#include <array>
#include <optional>
#include <vector>

#include "line/line_samples.hpp"

/// Between the band that the old calibration bears and the new one's.
namespace blendrisk::line {

/// Burned volumes and times at estimate::k_quantile_orders.
struct Spread {
  std::optional<std::array<double, 5>> burn_l, time_s;
};

/// How long neither calibration fits the fuel at the injectors.
struct Gap {
  /// Over the cases whose injectors ever leave the old band; none where hardly any does.
  Spread leaves;
  /// From leaving the old band to arriving in the new one, over the cases that arrive; 0 where the
  /// bands overlap.
  Spread lasts;
  /// That it lasts longer than nothing; cases that never arrive among them.
  estimate::Estimate some;
};

/// @return none where the scenario does not say what the old calibration bears
std::optional<Gap> estimate_gap(const Line& line, const ArrivalCases& cases);

}  // namespace blendrisk::line
