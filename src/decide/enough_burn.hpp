#pragma once

#include <optional>

#include "line/arrival.hpp"

/// What to burn after the fill before the calibration is switched, without a sensor.
namespace blendrisk::decide {

/// Why no amount is enough.
enum class NoBurn {
  leaves_slowly,  ///< the last of the old fuel leaves too slowly
  falls_slowly,   ///< no amount can be told to be within the risk
  few_values,     ///< measured values bear no such chance
  tank            ///< the tank itself lands outside too often
};

/// The least that has to be burned for the chance of the rail being outside the limit to be within
/// limits.accepted-risk.
struct EnoughBurn {
  std::optional<double> burn_l;  ///< rounded up; none: see why_none
  std::optional<double> time_s;  ///< at the median rates
  estimate::Estimate outside;    ///< after it, on points of its own; within the accepted risk
  /// Of burn_l, from that of the chances there and how fast they fall with what is burned; 0 where
  /// nothing is left to chance. Large where the chance hardly falls any more.
  double standard_error_l = 0.0;
  std::optional<NoBurn> why_none;
  estimate::Effort effort;
};

/// A root of the rail's chance on common points, one standard error inside the risk, on points
/// enough that it is known to a quarter of a step or as many as there are; moved outward until an
/// estimate of its own agrees.
/// @param arrival  of the same line and target: its chance of never arriving, and where to look
/// @param step_l   what burned fuel is told in [L]
EnoughBurn solve_enough_burn(const line::Line& line, const estimate::Limit& target,
                             const line::Arrival& arrival, const estimate::Options& options,
                             double step_l);

}  // namespace blendrisk::decide
