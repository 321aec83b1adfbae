#include "scenario/reading_text.hpp"

#include <algorithm>
#include <utility>

#include "scenario/column.hpp"
#include "scenario/quoting.hpp"
#include "units/quantity.hpp"
#include "units/trimmed.hpp"

namespace blendrisk::scenario {
namespace {

using units::Dimension;

constexpr const char* k_accepted =
    "what was burned or the time since the fill, and the reading, such as 0.3 L: 57 % or "
    "4 min: 57 %";

std::string_view trimmed(std::string_view text) {
  return units::trimmed(text, " \t\r");
}

/// What is wrong with it; empty where nothing is.
std::string wrong_with(const LoggedReading& reading) {
  constexpr double k_most_litres = 1000.0;
  constexpr double k_most_seconds = 1e6;
  if (!(reading.at >= 0.0 && reading.at <= (reading.by_time ? k_most_seconds : k_most_litres))) {
    return reading.by_time ? "the time is out of range; 0 s to 1000000 s"
                           : "what was burned is out of range; 0 L to 1000 L";
  }
  // A sensor may read some way past both ends.
  if (!(reading.content >= -0.2 && reading.content <= 1.2)) {
    return "the reading is out of range; -20 % to 120 %";
  }
  return {};
}

bool parses(std::string_view text, Dimension dimension, double& value) {
  try {
    value = units::parse_quantity(text, dimension);
    return true;
  } catch (const units::QuantityError&) {
    return false;
  }
}

/// @param unread  gets the names of columns that mean nothing here
std::vector<LoggedReading> rows_of(const std::string& file, std::string_view text,
                                   std::vector<std::size_t>& lines,
                                   std::vector<std::string>& unread) {
  const Columns columns = read_columns(file, text,
                                       {{"reading_percent", Dimension::content},
                                        {"burned_l", Dimension::volume, false},
                                        {"time_s", Dimension::time, false}});
  const auto has = [&](const char* name) {
    return std::find(columns.names.begin(), columns.names.end(), name) != columns.names.end();
  };
  const bool by_time = has("time_s");
  if (by_time == has("burned_l")) {
    throw ReadingError(
        escaped(file) + ":1: has " +
        (by_time ? "both columns burned_l and time_s" : "neither a column burned_l nor time_s") +
        "; one of them beside reading_percent is accepted");
  }
  unread.clear();
  for (const std::string& name : columns.names) {
    const bool known = name == "reading_percent" || name == "burned_l" || name == "time_s";
    if (!known && !name.empty()) unread.push_back(name);
  }
  std::vector<LoggedReading> readings;
  for (std::size_t i = 0; i < columns.lines.size(); ++i) {
    readings.push_back({by_time, columns.values[by_time ? 2 : 1][i], columns.values[0][i]});
  }
  lines = columns.lines;
  return readings;
}

std::string at_line(const std::string& file, std::size_t line) {
  return escaped(file) + ":" + std::to_string(line) + ": ";
}

}  // namespace

LoggedReading parse_reading(std::string_view text) {
  const std::size_t colon = text.find(':');
  LoggedReading reading;
  const auto fail = [&](const std::string& what) {
    throw ReadingError(in_quotes(text) + ": " + what);
  };
  if (colon == std::string_view::npos) fail(std::string("is no reading; ") + k_accepted);
  const std::string_view at = trimmed(text.substr(0, colon));
  if (!parses(at, Dimension::volume, reading.at)) {
    reading.by_time = true;
    if (!parses(at, Dimension::time, reading.at)) {
      fail(std::string("begins with neither a volume nor a time; ") + k_accepted);
    }
  }
  if (!parses(trimmed(text.substr(colon + 1)), Dimension::content, reading.content)) {
    fail(std::string("ends with no content; ") + k_accepted);
  }
  const std::string wrong = wrong_with(reading);
  if (!wrong.empty()) fail(wrong);
  return reading;
}

std::vector<LoggedReading> read_readings(const std::string& file, std::string_view text,
                                         std::vector<std::string>* unread) {
  std::vector<std::size_t> lines;
  std::vector<std::string> others;
  std::vector<LoggedReading> readings;
  try {
    readings = rows_of(file, text, lines, others);
  } catch (const ColumnError& error) {
    throw ReadingError(error.what());
  }
  if (unread != nullptr) *unread = std::move(others);
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const std::string wrong = wrong_with(readings[i]);
    if (!wrong.empty()) throw ReadingError(at_line(file, lines[i]) + wrong);
    if (i > 0 && readings[i].at < readings[i - 1].at) {
      throw ReadingError(at_line(file, lines[i]) +
                         (readings[i].by_time ? "the time goes" : "what was burned goes") +
                         " back; rows in the order they were read are accepted");
    }
  }
  return readings;
}

ReadingLines::Kind ReadingLines::take(std::string_view line, LoggedReading& reading) {
  const std::string_view text = trimmed(line);
  if (text.empty() || text.front() == '#') return Kind::nothing;
  const std::string why = unreadable_because(text);
  if (!why.empty()) throw ReadingError("the line " + why + "; " + k_accepted);
  if (text.find(':') != std::string_view::npos) {
    reading = parse_reading(text);
    return Kind::reading;
  }
  if (text.find("reading_percent") != std::string_view::npos) {
    header_ = text;
    return Kind::nothing;
  }
  if (header_.empty()) throw ReadingError(in_quotes(text) + ": is no reading; " + k_accepted);
  std::vector<std::size_t> lines;
  try {
    reading = rows_of("row", header_ + "\n" + std::string(text) + "\n", lines, unread_).at(0);
  } catch (const ColumnError& error) {
    // Without the place in the two lines that it saw.
    const std::string what = error.what();
    throw ReadingError(what.substr(std::min(what.size(), what.find(": ") + 2)));
  }
  const std::string wrong = wrong_with(reading);
  if (!wrong.empty()) throw ReadingError(in_quotes(text) + ": " + wrong);
  return Kind::reading;
}

}  // namespace blendrisk::scenario
