#include "learn/changeover_log.hpp"

#include "scenario/column.hpp"
#include "scenario/read.hpp"
#include "text/quoting.hpp"

namespace blendrisk::learn {
namespace {

/// A first row later than this is a clock's time, not time since the fill.
constexpr double k_latest_start_s = 3600.0;
constexpr double k_longest_s = 1e7;
constexpr double k_highest_rate = 1.0;

using scenario::InputError;

scenario::Columns columns_of(const std::string& file, std::string_view text) {
  try {
    return scenario::read_columns(file, text,
                                  {{"time_s", units::Dimension::time, true, "time"},
                                   {"reading_percent", units::Dimension::content},
                                   {"fuel_rate_l_per_h", units::Dimension::rate, false}});
  } catch (const scenario::ColumnError& error) {
    throw InputError(error.what());
  }
}

class Checker {
 public:
  Checker(const std::string& file, const scenario::Columns& read) : file_(file), read_(read) {}

  void operator()() const {
    for (std::size_t i = 0; i < read_.lines.size(); ++i) check_row(i);
    const std::vector<double>& times = read_.values[0];
    if (times.size() == 1) {
      fail(0, "time_s", "is the only row; a log of a changeover, of many rows, is accepted");
    }
    if (times.front() > k_latest_start_s) {
      fail(0, "time_s",
           "begins more than an hour after time 0; times that count from when the pump first draws "
           "the new fuel are accepted");
    }
    if (!(times.back() > 0.0)) {
      fail(times.size() - 1, "time_s",
           "ends before time 0, when the pump first draws the new fuel; a log that goes on is "
           "accepted");
    }
  }

 private:
  void check_row(std::size_t i) const {
    const std::vector<double>& times = read_.values[0];
    if (i > 0 && !(times[i] > times[i - 1])) {
      fail(i, "time_s",
           times[i] < times[i - 1] ? "goes back; times that rise are accepted"
                                   : "is that of the row before; times that rise are "
                                     "accepted");
    }
    if (!(times[i] >= -k_longest_s && times[i] <= k_longest_s)) {
      fail(i, "time_s", "is out of range; -10000000 s to 10000000 s");
    }
    const double reading = read_.values[1][i];
    if (!(reading >= -0.2 && reading <= 1.2)) {
      fail(i, "reading_percent", "is out of range; -20 % to 120 %");
    }
    if (read_.values[2].empty()) return;
    const double rate = read_.values[2][i];
    if (!(rate >= 0.0 && rate <= k_highest_rate)) {
      fail(i, "fuel_rate_l_per_h", "is out of range; 0 L/h to 3600 L/h");
    }
  }
  [[noreturn]] void fail(std::size_t row, const char* column, const std::string& wrong) const {
    throw InputError(text::escaped(file_) + ":" + std::to_string(read_.lines[row]) + ": " + column +
                     ": " + wrong);
  }

  const std::string& file_;
  const scenario::Columns& read_;
};

}  // namespace

ChangeoverLog read_changeover_log(const std::string& file, std::string_view text) {
  scenario::Columns read = columns_of(file, text);
  Checker(file, read)();
  return {file, std::move(read.values[0]), std::move(read.values[1]), std::move(read.values[2]),
          read.lines.back()};
}

}  // namespace blendrisk::learn
