#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "units/clock.hpp"

/// A logged changeover: sensor readings while new fuel moves through the line.
namespace blendrisk::learn {

/// Rows in rising time. Time 0 is when the pump first draws the new fuel.
struct ChangeoverLog {
  std::string file;
  std::vector<double> time_s;
  std::vector<double> reading;       ///< contents as fractions, as the sensor showed them
  std::vector<double> rate_l_per_s;  ///< fuel burned; empty where it was not logged
  std::vector<std::size_t> lines;    ///< of the file, from 1, of every row
  std::string clock_zero;  ///< the clock of the first row, where that is time 0; else empty
};

/// Checked rows of CSV text with columns time_s (or time, with units) or clock, reading_percent
/// and, where logged, fuel_rate_l_per_h.
/// @param file  shown in errors
/// @param started  the clock at time 0; none: that of the first row
/// @throws text::Error, naming file and line, for a malformed file, times that do not
///   rise, readings outside −20 % to 120 %, negative rates, a single row, a log that ends before
///   time 0 and one that begins more than an hour after it
ChangeoverLog read_changeover_log(const std::string& file, std::string_view text,
                                  std::optional<units::ClockTime> started = {});

}  // namespace blendrisk::learn
