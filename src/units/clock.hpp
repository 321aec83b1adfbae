#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace blendrisk::units {

/// Seconds of a time as clocks and loggers write it, "8:30" for 8 min 30 s (m:ss) and "1:02:03.5"
/// for 1 h 2 min 3.5 s (h:mm:ss); a minus before it makes all of it negative. Two digits behind
/// each colon, below 60. None for any other text.
std::optional<double> clock_seconds(std::string_view text);

/// A time of the day, on a day or on none in particular.
struct ClockTime {
  double second = 0.0;      ///< of the day
  std::optional<long> day;  ///< since 1970-01-01
};

/// "18:04", "18:04:30.5", and with a date before it "2026-11-27 18:04:30" or a T between the two
/// (ISO 8601, from memory), without a zone. None for any other text.
std::optional<ClockTime> clock_time(std::string_view text);

/// The day of "2026-11-27", with or without a time of the day as above behind it, since 1970-01-01.
/// None for any other text.
std::optional<long> calendar_day(std::string_view text);

/// "2026-11-27" of a day since 1970-01-01.
std::string calendar_text(long day);

}  // namespace blendrisk::units
