#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "units/clock.hpp"

/// How the rows of a log tell when they were taken and what was burned by then. Both are followed
/// row by row; a copy can be tried and dropped.
namespace blendrisk::scenario {

/// The columns of a log, besides the reading.
inline constexpr const char* k_clock_column = "clock";
inline constexpr const char* k_rate_column = "fuel_rate_l_per_h";

/// Seconds since the fill of a column of clock times. Without dates, a step back by more than 12 h
/// is midnight.
class LogClock {
 public:
  /// @param started  the clock at time 0; none: the first row is time 0
  explicit LogClock(std::optional<units::ClockTime> started = {}) : started_(started) {}

  /// The seconds of the next row, below 0 before time 0. They may go back.
  /// @throws text::Error naming the column, for a cell that is no time of a clock, and for dates in
  /// only some of the rows, or in --started alone
  double seconds(std::string_view cell);

  /// The first row, where it is time 0; else empty.
  const std::string& zero() const { return zero_; }

 private:
  std::optional<units::ClockTime> started_;
  std::string zero_;
  bool any_ = false;
  bool dated_ = false;
  double origin_s_ = 0.0;
  double last_s_ = 0.0;
  double midnights_s_ = 0.0;
};

/// What was burned since time 0 by a logged rate: the trapezoidal rule, the first row's rate held
/// from time 0 on where it comes later. Rows before time 0 burn nothing, and tell the rate there.
class BurnedByRate {
 public:
  /// Litres burned by the next row, whose time must not be before that of the last.
  double take(double time_s, double rate_l_per_s);

 private:
  double burned_l_ = 0.0;
  double last_time_s_ = 0.0;
  std::optional<double> last_rate_;
};

/// @throws text::Error naming the column, for a rate below 0 or above 3600 L/h
void require_rate(double rate_l_per_s);

}  // namespace blendrisk::scenario
