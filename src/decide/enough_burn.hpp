#pragma once

#include <optional>
#include <string>

#include "line/arrival.hpp"

/// What to burn after the fill before the calibration is switched, without a sensor.
namespace blendrisk::decide {

/// The least that has to be burned for the chance of the rail being outside the limit to be within
/// limits.accepted-risk.
struct EnoughBurn {
  std::optional<double> burn_l;  ///< rounded up; none: see reason
  std::optional<double> time_s;  ///< at the median rates
  estimate::Estimate outside;    ///< after it, on points of its own; within the accepted risk
  /// Of burn_l, from that of the chances there and how fast they fall with what is burned; 0 where
  /// nothing is left to chance. Large where the chance hardly falls any more.
  double standard_error_l = 0.0;
  std::string reason;
};

/// A root of the rail's chance on common points, one standard error inside the risk, on points
/// enough that it is known to a quarter of a step or as many as there are; moved outward until an
/// estimate of its own agrees.
/// @param arrival  of the same line and target: its chance of never arriving, and where to look
/// @param step_l   what burned fuel is told in [L]
EnoughBurn solve_enough_burn(const line::Line& line, const line::Target& target,
                             const line::Arrival& arrival, const estimate::Options& options,
                             double step_l, std::uint64_t& evaluations);

}  // namespace blendrisk::decide
