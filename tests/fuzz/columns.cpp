#include "scenario/column.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <stdexcept>
#include <vector>

#include "learn/changeover_log.hpp"
#include "learn/shop_laws.hpp"
#include "render/table_csv.hpp"
#include "scenario/read.hpp"
#include "scenario/reading_text.hpp"
#include "tests/fuzz/require.hpp"
#include "text/error.hpp"

namespace blendrisk::fuzz {
namespace {

void read_measured(const std::string& text) {
  const auto values =
      scenario::read_column("a.csv", text, "content_percent", units::Dimension::content);
  require(!values.empty());
  for (const double value : values) require(std::isfinite(value));
}

void read_log(const std::string& text) {
  const auto log = learn::read_changeover_log("a.csv", text);
  require(log.time_s.size() >= 2 && log.time_s.size() == log.reading.size());
  require(log.rate_l_per_s.empty() || log.rate_l_per_s.size() == log.time_s.size());
  for (std::size_t i = 1; i < log.time_s.size(); ++i) require(log.time_s[i] > log.time_s[i - 1]);
}

void read_tests(const std::string& text) {
  const auto log = learn::read_shop_log("a.csv", text);
  std::vector<std::size_t> rows(log.rows());
  std::iota(rows.begin(), rows.end(), std::size_t{0});
  const auto laws = learn::shop_laws(log, rows, {});
  require(!laws.sensor.part && !laws.gauge.part);
  if (!laws.pump.part) return;
  const learn::PumpLaws& pumps = laws.pump.part->laws;
  std::size_t tests = 0;
  for (const learn::LawOfPump& pump : pumps.pumps) {
    tests += pump.tests;
    if (pump.law) require(std::isfinite(pump.law->center) && pump.law->scale > 0.0);
  }
  require(tests == pumps.tests);
}

void read_readings(const std::string& text) {
  const auto readings = scenario::read_readings("a.csv", text);
  require(!readings.empty());
  for (const scenario::LoggedReading& reading : readings) require(reading.at >= 0.0);
}

void read_lines(const std::string& text) {
  scenario::ReadingLines lines;
  for (std::size_t from = 0; from <= text.size();) {
    const std::size_t end = std::min(text.find('\n', from), text.size());
    try {
      scenario::LoggedReading reading;
      lines.take(std::string_view(text).substr(from, end - from), reading);
      require(reading.at >= 0.0 && std::isfinite(reading.content));
    } catch (const text::Error& error) {
      require_message(error.what());
    }
    from = end + 1;
  }
}

void join_parts(const std::string& text) {
  const std::size_t cut = text.find('\f');
  render::check_part(text.substr(0, cut));
  if (cut == std::string::npos) return;
  render::joined_csv({text.substr(0, cut), text.substr(cut + 1)});
}

}  // namespace
}  // namespace blendrisk::fuzz

// Any text is a log of the kind that the first byte chooses, or is refused in one line that names
// file and line.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size == 0 || size > 4096) return 0;
  constexpr std::array kinds{fuzz::read_measured, fuzz::read_log,   fuzz::read_tests,
                             fuzz::read_readings, fuzz::read_lines, fuzz::join_parts};
  const std::size_t kind = data[0] % kinds.size();
  try {
    kinds[kind](fuzz::text_of(data + 1, size - 1));
  } catch (const text::Error& error) {
    fuzz::require_message(error.what());
    fuzz::require(error.place.source == (kinds[kind] == fuzz::join_parts ? "" : "a.csv"));
  }
  return 0;
}
