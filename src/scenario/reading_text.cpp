#include "scenario/reading_text.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "scenario/column.hpp"
#include "text/csv.hpp"
#include "text/error.hpp"
#include "text/number.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/clock.hpp"
#include "units/quantity.hpp"

namespace blendrisk::scenario {
namespace {

using text::Error;
using units::Dimension;

constexpr const char* k_reading_form =
    "what was burned or the time since the fill, and the reading, such as 0.3 L: 57 %, "
    "4 min: 57 % or 8:30: 57 %";

constexpr const char* k_in_order = "rows in the order they were read are accepted";

void check_range(const LoggedReading& reading) {
  constexpr double k_most_litres = 1000.0;
  constexpr double k_most_seconds = 1e6;
  if (!(reading.at >= 0.0 && reading.at <= (reading.by_time ? k_most_seconds : k_most_litres))) {
    throw reading.by_time ? Error("the time is out of range", "0 s to 1000000 s")
                          : Error("what was burned is out of range", "0 L to 1000 L");
  }
  // A sensor may read some way past both ends.
  if (!(reading.content >= -0.2 && reading.content <= 1.2)) {
    throw Error("the reading is out of range", "-20 % to 120 %");
  }
}

bool parses(std::string_view text, Dimension dimension, double& value) {
  try {
    value = units::parse_quantity(text, dimension);
    return true;
  } catch (const Error&) {
    return false;
  }
}

/// Whether a number alone says what it is: "0.57" may be 57 % or less than one.
bool is_percent(const text::LeadingNumber& number) {
  return number.fault == text::NumberFault::none && number.rest.empty() &&
         (number.value == 0.0 || std::abs(number.value) >= 1.0);
}

/// The reading of a place ("0.3 L", "8:30") and a content, or a number of percent, behind it.
std::optional<LoggedReading> joined(std::string_view at, std::string_view content) {
  std::optional<LoggedReading> reading = parse_place(text::trimmed(at, text::k_line_white));
  if (!reading || parses(content, Dimension::content, reading->content)) return reading;
  const text::LeadingNumber number =
      text::leading_number(text::trimmed(content, text::k_line_white));
  // "8:30:15" may be a time and nothing else.
  const bool touches_clock = at.find(':') != std::string_view::npos && !content.starts_with(' ');
  if (!is_percent(number) || touches_clock) return std::nullopt;
  reading->content = number.value / 100.0;
  return reading;
}

/// Why a text is no reading, and what is accepted.
Error unread_because(std::string_view text) {
  const std::string_view odd = text::first_with_comma(text);
  if (!odd.empty()) {
    const text::CommaFault comma = text::comma_fault(odd);
    return Error(text::in_quotes(odd) + " " + comma.wrong, comma.advice);
  }
  const std::size_t colon = text.rfind(':');
  if (colon == std::string_view::npos || units::clock_seconds(text)) {
    return Error("is no reading", k_reading_form);
  }
  if (!parse_place(text::trimmed(text.substr(0, colon), text::k_line_white))) {
    return Error("begins with neither a volume nor a time", k_reading_form);
  }
  const std::string_view content = text::trimmed(text.substr(colon + 1), text::k_line_white);
  const text::LeadingNumber number = text::leading_number(content);
  if (number.fault == text::NumberFault::none && number.rest.empty()) {
    return Error("a reading of " + text::in_quotes(content) + " may be a share or a percent",
                 "write its %");
  }
  if (units::names_fuel(content)) {
    return Error(text::in_quotes(content) + " names a fuel, not a content", k_reading_form);
  }
  return Error("ends with no content", k_reading_form);
}

/// Where columns_of puts the values of a log.
enum : std::size_t { k_content_at, k_burned_at, k_time_at, k_rate_at };

/// @throws text::Error, also where the columns do not tell when the readings were taken, or twice
Columns columns_of(const std::string& file, std::string_view text, bool started) {
  const bool has_clock = names_column(text, k_clock_column);
  std::vector<std::string> texts;
  if (has_clock) texts.emplace_back(k_clock_column);
  Columns columns = read_columns(file, text,
                                 {{"reading_percent", Dimension::content},
                                  {"burned_l", Dimension::volume, false},
                                  {"time_s", Dimension::time, false, "time"},
                                  {k_rate_column, Dimension::rate, false}},
                                 texts);
  const bool burned = !columns.values[k_burned_at].empty();
  const bool times = !columns.values[k_time_at].empty();
  const auto refuse = [&](const char* wrong, const char* accepted) {
    throw Error(wrong, accepted, {file, 1});
  };
  constexpr const char* k_one = "one of them beside reading_percent is accepted";
  if (burned && times) refuse("has both columns burned_l and time_s", k_one);
  if (times && has_clock) refuse("has both columns clock and time_s", k_one);
  if (!burned && !times && !has_clock) {
    refuse("has neither a column burned_l nor time_s nor clock", k_one);
  }
  if (started && (burned || times)) {
    throw Error("does nothing to a log without clock times", "a log with a column clock heeds it",
                {"--started"});
  }
  return columns;
}

/// Names of columns that mean nothing beside the others.
std::vector<std::string> unread_of(const Columns& columns) {
  const auto& names = columns.names;
  const bool burned = !columns.values[k_burned_at].empty();
  const bool in_seconds = std::find(names.begin(), names.end(), "time_s") != names.end();
  std::vector<std::string> unread;
  for (const std::string& name : names) {
    const bool tells_when = burned ? name == "burned_l"
                                   : name == (in_seconds ? "time_s" : "time") ||
                                         name == k_clock_column || name == k_rate_column;
    if (!tells_when && name != "reading_percent" && !name.empty()) unread.push_back(name);
  }
  return unread;
}

}  // namespace

std::optional<LoggedReading> parse_place(std::string_view text) {
  LoggedReading place;
  if (parses(text, Dimension::volume, place.at)) return place;
  place.by_time = true;
  if (parses(text, Dimension::time, place.at)) return place;
  const auto clock = units::clock_seconds(text);
  if (!clock) return std::nullopt;
  place.at = *clock;
  return place;
}

LoggedReading parse_reading(std::string_view text) {
  const std::string_view whole = text::trimmed(text, text::k_line_white);
  const std::size_t colon = whole.rfind(':');
  std::optional<LoggedReading> reading;
  if (colon != std::string_view::npos) {
    reading = joined(whole.substr(0, colon), whole.substr(colon + 1));
  }
  for (std::size_t gap = 0; !reading && gap < whole.size(); ++gap) {
    if (whole[gap] == ' ' || whole[gap] == '\t') {
      reading = joined(whole.substr(0, gap), whole.substr(gap));
    }
  }
  return text::at({text::in_quotes(whole)}, [&] {
    if (!reading) throw unread_because(whole);
    check_range(*reading);
    return *reading;
  });
}

LoggedReading LogRows::next(const Columns& columns, std::size_t row) {
  LoggedReading reading{false, 0.0, columns.values[k_content_at][row]};
  if (!columns.values[k_burned_at].empty()) {
    reading.at = columns.values[k_burned_at][row];
    check_range(reading);
    return reading;
  }
  reading.by_time = true;
  reading.at = columns.values[k_time_at].empty() ? clock_.seconds(columns.texts[0][row])
                                                 : columns.values[k_time_at][row];
  check_range(reading);
  if (columns.values[k_rate_at].empty()) return reading;
  if (reading.at < last_time_s_) throw Error("the time goes back", k_in_order);
  last_time_s_ = reading.at;
  const double rate = columns.values[k_rate_at][row];
  require_rate(rate);
  reading.by_time = false;
  reading.at = burned_.take(last_time_s_, rate);
  check_range(reading);
  return reading;
}

std::vector<LoggedReading> read_readings(const std::string& file, std::string_view text,
                                         std::optional<units::ClockTime> started, AboutLog* about) {
  const Columns columns = columns_of(file, text, started.has_value());
  LogRows rows(started);
  std::vector<LoggedReading> readings;
  for (std::size_t i = 0; i < columns.lines.size(); ++i) {
    text::at({file, columns.lines[i]}, [&] {
      readings.push_back(rows.next(columns, i));
      if (i == 0 || readings[i].at >= readings[i - 1].at) return;
      throw Error(readings[i].by_time ? "the time goes back" : "what was burned goes back",
                  k_in_order);
    });
  }
  if (about != nullptr) *about = {unread_of(columns), rows.clock().zero()};
  return readings;
}

ReadingLines::Kind ReadingLines::take(std::string_view line, LoggedReading& reading) {
  const std::string_view text = text::trimmed(line, text::k_line_white);
  if (text.empty() || text.front() == '#') return Kind::nothing;
  const std::string why = text::unreadable_because(text);
  if (!why.empty()) throw Error("the line " + why, k_reading_form);
  if (text.find("reading_percent") != std::string_view::npos) {
    header_ = text;
    return Kind::nothing;
  }
  // In a row, the only colons are those of a time without spaces.
  const bool is_row = !header_.empty() && text.find(": ") == std::string_view::npos &&
                      text.find(text::separator_of(header_)) != std::string_view::npos;
  if (!is_row) {
    reading = parse_reading(text);
    tried_ = rows_;
    return Kind::reading;
  }
  tried_ = rows_;
  const Columns columns = [&] {
    try {
      return columns_of({}, header_ + "\n" + std::string(text) + "\n", started_);
    } catch (const Error& error) {
      text::Place place = error.place;
      place.line = 0;  // one of the two
      throw Error(error.wrong, error.accepted, place);
    }
  }();
  text::at({text::in_quotes(text)}, [&] { reading = tried_.next(columns, 0); });
  about_ = {unread_of(columns), tried_.clock().zero()};
  return Kind::reading;
}

}  // namespace blendrisk::scenario
