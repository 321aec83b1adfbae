#include "learn/changeover_log.hpp"

#include "scenario/column.hpp"
#include "text/error.hpp"

namespace blendrisk::learn {
namespace {

/// A first row later than this is a clock's time, not time since the fill.
constexpr double k_latest_start_s = 3600.0;
constexpr double k_longest_s = 1e7;
constexpr double k_highest_rate = 1.0;

void check_log(const std::string& file, const scenario::Columns& read) {
  const std::vector<double>& times = read.values[0];
  const auto require = [&](bool holds, std::size_t row, const char* column, const char* wrong,
                           const char* accepted) {
    if (!holds) throw text::Error(wrong, accepted, {file, read.lines[row], column});
  };
  constexpr const char* k_out_of_range = "is out of range";
  for (std::size_t i = 0; i < times.size(); ++i) {
    require(i == 0 || times[i] > times[i - 1], i, "time_s",
            i > 0 && times[i] < times[i - 1] ? "goes back" : "is that of the row before",
            "times that rise are accepted");
    require(times[i] >= -k_longest_s && times[i] <= k_longest_s, i, "time_s", k_out_of_range,
            "-10000000 s to 10000000 s");
    const double reading = read.values[1][i];
    require(reading >= -0.2 && reading <= 1.2, i, "reading_percent", k_out_of_range,
            "-20 % to 120 %");
    if (read.values[2].empty()) continue;
    const double rate = read.values[2][i];
    require(rate >= 0.0 && rate <= k_highest_rate, i, "fuel_rate_l_per_h", k_out_of_range,
            "0 L/h to 3600 L/h");
  }
  require(times.size() > 1, 0, "time_s", "is the only row",
          "a log of a changeover, of many rows, is accepted");
  require(times.front() <= k_latest_start_s, 0, "time_s", "begins more than an hour after time 0",
          "times that count from when the pump first draws the new fuel are accepted");
  require(times.back() > 0.0, times.size() - 1, "time_s",
          "ends before time 0, when the pump first draws the new fuel",
          "a log that goes on is accepted");
}

}  // namespace

ChangeoverLog read_changeover_log(const std::string& file, std::string_view text) {
  scenario::Columns read =
      scenario::read_columns(file, text,
                             {{"time_s", units::Dimension::time, true, "time"},
                              {"reading_percent", units::Dimension::content},
                              {"fuel_rate_l_per_h", units::Dimension::rate, false}});
  check_log(file, read);
  return {file, std::move(read.values[0]), std::move(read.values[1]), std::move(read.values[2]),
          read.lines.back()};
}

}  // namespace blendrisk::learn
