#include "scenario/reading_text.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "scenario/column.hpp"
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

/// The rows of a CSV text, with the line of each.
struct Rows {
  std::vector<LoggedReading> readings;
  std::vector<std::size_t> lines;
  std::vector<std::string> unread;  ///< names of columns that mean nothing here
};

Rows rows_of(const std::string& file, std::string_view text) {
  Columns columns = read_columns(file, text,
                                 {{"reading_percent", Dimension::content},
                                  {"burned_l", Dimension::volume, false},
                                  {"time_s", Dimension::time, false, "time"}});
  const bool by_time = !columns.values[2].empty();
  if (by_time != columns.values[1].empty()) {
    throw Error(by_time ? "has both columns burned_l and time_s"
                        : "has neither a column burned_l nor time_s",
                "one of them beside reading_percent is accepted", {file, 1});
  }
  Rows rows;
  const auto& names = columns.names;
  const bool in_seconds = std::find(names.begin(), names.end(), "time_s") != names.end();
  for (const std::string& name : names) {
    const bool known =
        name == "reading_percent" || name == "burned_l" || name == (in_seconds ? "time_s" : "time");
    if (!known && !name.empty()) rows.unread.push_back(name);
  }
  for (std::size_t i = 0; i < columns.lines.size(); ++i) {
    rows.readings.push_back({by_time, columns.values[by_time ? 2 : 1][i], columns.values[0][i]});
  }
  rows.lines = std::move(columns.lines);
  return rows;
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

std::vector<LoggedReading> read_readings(const std::string& file, std::string_view text,
                                         std::vector<std::string>* unread) {
  Rows rows = rows_of(file, text);
  if (unread != nullptr) *unread = std::move(rows.unread);
  const std::vector<LoggedReading>& readings = rows.readings;
  text::Place place{file};
  for (std::size_t i = 0; i < readings.size(); ++i) {
    place.line = rows.lines[i];
    text::at(place, [&] {
      check_range(readings[i]);
      if (i == 0 || readings[i].at >= readings[i - 1].at) return;
      throw Error(readings[i].by_time ? "the time goes back" : "what was burned goes back",
                  "rows in the order they were read are accepted");
    });
  }
  return rows.readings;
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
                      text.find(separator_of(header_)) != std::string_view::npos;
  if (!is_row) {
    reading = parse_reading(text);
    return Kind::reading;
  }
  try {
    Rows rows = rows_of({}, header_ + "\n" + std::string(text) + "\n");
    reading = rows.readings.front();
    unread_ = std::move(rows.unread);
  } catch (const Error& error) {
    throw Error(error.wrong, error.accepted);  // its line is one of the two
  }
  text::at({text::in_quotes(text)}, [&] { check_range(reading); });
  return Kind::reading;
}

}  // namespace blendrisk::scenario
