#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

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

/// The rows of a CSV file with the columns reading_percent and either burned_l or time_s (or time,
/// with units), in order.
/// @param file  shown in errors
/// @throws text::Error with file and line, also where they go back
/// @param unread  gets the names of columns that mean nothing here
std::vector<LoggedReading> read_readings(const std::string& file, std::string_view text,
                                         std::vector<std::string>* unread = nullptr);

/// Readings that come in line by line: each as in parse_reading, or a row of CSV once a line has
/// named its columns.
class ReadingLines {
 public:
  enum class Kind { nothing, reading };  ///< nothing: an empty line, a comment or the header

  /// @throws text::Error for a broken line; the next one is read as if it had not been there
  Kind take(std::string_view line, LoggedReading& reading);

  /// Columns of the rows so far, under the last header, that mean nothing here.
  const std::vector<std::string>& unread() const { return unread_; }

 private:
  std::vector<std::string> unread_;
  std::string header_;
};

}  // namespace blendrisk::scenario
