#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scenario/column.hpp"
#include "scenario/log_time.hpp"

/// Readings of the content sensor as people and loggers write them.
namespace blendrisk::scenario {

struct LoggedReading {
  bool by_time = false;  ///< `at` is seconds since the fill; else litres burned since
  double at = 0.0;
  double content = 0.0;  ///< as shown, a fraction
};

/// When a reading is taken: what was burned ("0.3 L") or the time since the fill, as a quantity or
/// as clocks show it ("4 min", "8:30" for minutes and seconds). No content, no range is checked;
/// none where the text is neither.
std::optional<LoggedReading> parse_place(std::string_view text);

/// "0.3 L: 57 %", "4 min: 57 %", "8:30: 57 %": what was burned, or the time since the fill, and
/// what is shown. The colon may be left out, and so may the % of a number that is no fraction.
/// @throws text::Error, also where a number is out of range
LoggedReading parse_reading(std::string_view text);

/// What is to be said of a log besides its readings.
struct AboutLog {
  std::vector<std::string> unread;  ///< names of columns that mean nothing here
  std::string clock_zero;  ///< the clock of its first row, where that is time 0; else empty
};

/// Rows of readings one after another: in burned litres, or by time, or by time with a logged rate,
/// which makes litres of it.
class LogRows {
 public:
  explicit LogRows(std::optional<units::ClockTime> started) : clock_(started) {}

  /// @throws text::Error for what is out of range, and for times that go back where there are rates
  LoggedReading next(const Columns& columns, std::size_t row);

  const LogClock& clock() const { return clock_; }

 private:
  LogClock clock_;
  BurnedByRate burned_;
  double last_time_s_ = 0.0;
};

/// The rows of a CSV file in order: the columns reading_percent and burned_l, or time_s (or time,
/// with units) or clock, and fuel_rate_l_per_h, which is integrated.
/// @param file  shown in errors
/// @param started  the clock at time 0; none: that of the first row
/// @throws text::Error with file and line, also where they go back
std::vector<LoggedReading> read_readings(const std::string& file, std::string_view text,
                                         std::optional<units::ClockTime> started = {},
                                         AboutLog* about = nullptr);

/// Readings that come in line by line: each as in parse_reading, or a row of CSV once a line has
/// named its columns.
class ReadingLines {
 public:
  enum class Kind { nothing, reading };  ///< nothing: an empty line, a comment or the header

  /// @param started  as of read_readings
  explicit ReadingLines(std::optional<units::ClockTime> started = {})
      : started_(started.has_value()), rows_(started), tried_(started) {}

  /// @throws text::Error for a broken line; the next one is read as if it had not been there
  Kind take(std::string_view line, LoggedReading& reading);

  /// The reading last taken counts: later rows go on from there. One that is not accepted is as if
  /// it had not been there.
  void accept() { rows_ = tried_; }

  /// Of the row last taken, under the last header.
  const AboutLog& about() const { return about_; }

 private:
  bool started_;
  AboutLog about_;
  std::string header_;
  LogRows rows_, tried_;
};

}  // namespace blendrisk::scenario
