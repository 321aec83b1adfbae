#pragma once

#include <array>
#include <optional>

#include "line/arrival.hpp"

/// The reading of the content sensor to wait for before the calibration is switched.
namespace blendrisk::decide {

/// Why there is no reading to wait for.
enum class NoReading {
  hardly_shown,   ///< one that is too early seldom enough is hardly ever shown
  nearly,         ///< the same, but some come within the error of the estimate
  few_values,     ///< measured values bear no such chance
  within_already  ///< hardly any case starts outside the limit
};

/// A case triggers when its reading first reaches the one waited for; that is too early where the
/// injectors still get fuel outside the limit then.
struct WaitFor {
  std::optional<double> reading;  ///< none: see why_none
  double guard_band = 0.0;  ///< how far beyond the limit, reading − minimum or maximum − reading
  estimate::Estimate too_early;  ///< among the cases that trigger, on points of their own
  double triggers = 0.0;         ///< share of cases that ever show the reading
  /// The readings, nearest to the limit first, whose chance of being too early lies within two
  /// standard errors of the accepted risk, the one told among them: as many more cases might name
  /// any of them. Both the one told where that is clear.
  std::array<double, 2> alike{};
  /// Burned and time by then, over the cases that show it, at 0.05, 0.5 and 0.95.
  std::optional<std::array<double, 3>> burn_l, time_s;
  std::optional<NoReading> why_none;

  bool nothing_to_wait_for() const { return why_none == NoReading::within_already; }
};

/// The reading nearest to the limit, at it or beyond, in steps of the sensor's display (0.1 % where
/// it has none), whose chance of being too early, among the cases that ever show it, is within
/// limits.accepted-risk by one standard error, and within it by fresh cases too; one that fewer
/// than 1 in 100 cases ever show is none. Where the cases leave more than two steps in question,
/// more are followed, up to sixteen times as many. The sensor's lag, bias and step are in it, and
/// one draw of its noise: the reading has to hold over several looks, since of many noisy ones the
/// first that is high enough comes too soon.
/// @param cases  followed by round 0 of `options`; only counted ones are not added to
///
/// With no volume beyond the sensor, no lag, and a normal bias of standard deviation u, the guard
/// band is z(1 − risk) u where nearly all land well beyond it (JCGM 106:2012, from memory).
WaitFor solve_wait_for(const line::Line& line, const estimate::Limit& target,
                       const line::ArrivalCases& cases, const estimate::Options& options);

}  // namespace blendrisk::decide
