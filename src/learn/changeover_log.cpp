#include "learn/changeover_log.hpp"

#include "scenario/column.hpp"
#include "scenario/log_time.hpp"
#include "text/error.hpp"

namespace blendrisk::learn {
namespace {

/// A first row later than this is a clock's time, not time since the fill.
constexpr double k_latest_start_s = 3600.0;
constexpr double k_longest_s = 1e7;

/// @param when  the column that tells the times
void check_log(const std::string& file, const scenario::Columns& read,
               const std::vector<double>& times, const char* when) {
  const auto require = [&](bool holds, std::size_t row, const char* column, const char* wrong,
                           const char* accepted) {
    if (!holds) throw text::Error(wrong, accepted, {file, read.lines[row], column});
  };
  constexpr const char* k_out_of_range = "is out of range";
  for (std::size_t i = 0; i < times.size(); ++i) {
    require(i == 0 || times[i] > times[i - 1], i, when,
            i > 0 && times[i] < times[i - 1] ? "goes back" : "is that of the row before",
            "times that rise are accepted");
    require(times[i] >= -k_longest_s && times[i] <= k_longest_s, i, when, k_out_of_range,
            "-10000000 s to 10000000 s");
    const double reading = read.values[1][i];
    require(reading >= -0.2 && reading <= 1.2, i, "reading_percent", k_out_of_range,
            "-20 % to 120 %");
    if (read.values[2].empty()) continue;
    text::at({file, read.lines[i]}, [&] { scenario::require_rate(read.values[2][i]); });
  }
  require(times.size() > 1, 0, when, "is the only row",
          "a log of a changeover, of many rows, is accepted");
  require(times.front() <= k_latest_start_s, 0, when, "begins more than an hour after time 0",
          "times that count from when the pump first draws the new fuel are accepted");
  require(times.back() > 0.0, times.size() - 1, when,
          "ends before time 0, when the pump first draws the new fuel",
          "a log that goes on is accepted");
}

}  // namespace

ChangeoverLog read_changeover_log(const std::string& file, std::string_view text,
                                  std::optional<units::ClockTime> started) {
  const bool has_clock = scenario::names_column(text, scenario::k_clock_column);
  std::vector<std::string> texts;
  if (has_clock) texts.emplace_back(scenario::k_clock_column);
  scenario::Columns read =
      scenario::read_columns(file, text,
                             {{"time_s", units::Dimension::time, !has_clock, "time"},
                              {"reading_percent", units::Dimension::content},
                              {scenario::k_rate_column, units::Dimension::rate, false}},
                             texts);
  std::vector<double>& times = read.values[0];
  if (has_clock && !times.empty()) {
    throw text::Error("has both columns clock and time_s", "one of them is accepted", {file, 1});
  }
  if (started && !has_clock) {
    throw text::Error("does nothing to a log without clock times",
                      "a log with a column clock heeds it", {"--started"});
  }
  scenario::LogClock clock(started);
  for (std::size_t i = 0; has_clock && i < read.lines.size(); ++i) {
    text::at({file, read.lines[i]}, [&] { times.push_back(clock.seconds(read.texts[0][i])); });
  }
  check_log(file, read, times, has_clock ? scenario::k_clock_column : "time_s");
  return {file,
          std::move(times),
          std::move(read.values[1]),
          std::move(read.values[2]),
          std::move(read.lines),
          clock.zero()};
}

}  // namespace blendrisk::learn
