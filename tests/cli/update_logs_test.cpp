#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "tests/cli/temporary_files.hpp"
#include "tests/source_dir.hpp"

// Logs with rates and clock times, as update is given them.
namespace blendrisk::cli::update_logs_test {
namespace {

using nlohmann::json;
using testing::answer_of;
using testing::answers_of;
using testing::expect_refused;
using testing::run_with;
using testing::TemporaryDirectory;

const std::string k_wagon = testing::source_dir() + "/examples/wagon-line.ini";

// Steady rates, so that the trapezoidal rule is exact: 1.8 L/h and then, from one second to the
// next, 3.6 L/h.
TEST(UpdateLogs, LoggedRatesAndClocksAnswerAsBurnedLitresDo) {
  const TemporaryDirectory directory;
  const std::string burned = directory.write(
      "burned.csv", "burned_l,reading_percent\n0.1,31\n0.15,43\n0.15075,43.5\n0.21075,54\n");
  const std::string rates = directory.write("rates.csv",
                                            "time_s,reading_percent,fuel_rate_l_per_h\n"
                                            "200,31,1.8\n300,43,1.8\n301,43.5,3.6\n361,54,3.6\n");
  const std::string rows = "23:57:20,31,1.8\n23:59:00,43,1.8\n23:59:01,43.5,3.6\n0:00:01,54,3.6\n";
  const std::string header = "clock,reading_percent,fuel_rate_l_per_h\n";
  const std::string clock = directory.write("clock.csv", header + rows);
  const json by_burned = answer_of({"update", k_wagon, "--readings", burned});
  const json by_clock =
      answer_of({"update", k_wagon, "--readings", clock, "--started", "23:54:00"});
  const std::vector<json> streamed = answers_of(run_with(
      {"update", k_wagon, "--readings", "-", "--started", "23:54:00", "--json"}, header + rows));
  const std::vector<json> by_volumes =
      answers_of(run_with({"update", k_wagon, "--readings", "-", "--json"},
                          "burned_l,reading_percent\n0.1,31\n0.15,43\n0.15075,43.5\n0.21075,54\n"));
  ASSERT_EQ(streamed.size(), 4U);
  ASSERT_EQ(by_volumes.size(), 4U);
  const std::pair<json, json> pairs[] = {
      {by_burned, answer_of({"update", k_wagon, "--readings", rates})},
      {by_burned, by_clock},
      {by_volumes[3], streamed[3]}};
  for (const auto& [by_volume, by_rate] : pairs) {
    // The same cases and weights but for the last digits of the integral.
    const auto same = [](const json& a, const json& b) {
      EXPECT_NEAR(a.get<double>(), b.get<double>(), 1e-9);
    };
    const auto& left = by_volume.at("burn_left").at("quantiles");
    for (const auto& [quantile, litres] : left.items()) {
      same(by_rate.at("burn_left").at("quantiles").at(quantile), litres);
    }
    same(by_rate.at("bias").at("mean"), by_volume.at("bias").at("mean"));
    same(by_rate.at("rail_outside").at("chance"), by_volume.at("rail_outside").at("chance"));
    EXPECT_NEAR(by_rate.at("now").at("burn").get<double>(), 0.21075, 1e-12);
    EXPECT_EQ(by_rate.at("notes"), by_volume.at("notes"));
  }
  // The schedule's rate, that of idling, says otherwise.
  const std::string timed =
      directory.write("timed.csv", "time_s,reading_percent\n200,31\n300,43\n301,43.5\n361,54\n");
  expect_refused({"update", k_wagon, "--readings", timed}, "the readings contradict the scenario");
}

TEST(UpdateLogs, TellsWhereAClockWasTakenToStart) {
  const TemporaryDirectory directory;
  const std::string log =
      directory.write("log.csv", "clock,reading_percent\n18:04:00,30\n18:09:00,36.5\n");
  const json answer = answer_of({"update", k_wagon, "--readings", log});
  EXPECT_EQ(answer.at("now").at("time"), 300.0);
  EXPECT_EQ(
      answer.at("notes"),
      json::array({"Time 0, the fill, is taken to be the log's first row, 18:04:00: --started "
                   "tells another clock time."}));
  const json started = answer_of({"update", k_wagon, "--readings", log, "--started", "18:03:50"});
  EXPECT_EQ(started.at("now").at("time"), 310.0);
  EXPECT_EQ(started.at("notes"), json::array());
  expect_refused({"update", k_wagon, "--readings", log, "--started", "18:05"},
                 "log.csv:2: the time is out of range");
  expect_refused({"update", k_wagon, "--readings", log, "--started", "six"},
                 "--started: 'six' is no time of a clock; ");
  expect_refused({"update", k_wagon, "--reading", "0.2 L: 50 %", "--started", "18:05"},
                 "--started: goes with a log of clock times");
  const std::string timed = directory.write("timed.csv", "time_s,reading_percent\n60,31\n");
  expect_refused({"update", k_wagon, "--readings", timed, "--started", "18:05"},
                 "--started: does nothing to a log without clock times; ");
}

}  // namespace
}  // namespace blendrisk::cli::update_logs_test
