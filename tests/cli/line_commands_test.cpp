#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "answer/words.hpp"
#include "tests/cli/temporary_files.hpp"
#include "tests/source_dir.hpp"

// arrive and update as a user calls them.
namespace blendrisk::cli::line_commands_test {
namespace {

using nlohmann::json;
using Ran = testing::Run;
using testing::answers_of;
using testing::expect_refused;
using testing::run_with;
using testing::TemporaryDirectory;

const std::string k_wagon = testing::source_dir() + "/examples/wagon-line.ini";
const std::string k_sedan = testing::source_dir() + "/examples/sedan.ini";

json answer_of(const std::vector<std::string>& args, const std::string& input = "") {
  const Ran run = run_with(args, input);
  EXPECT_EQ(run.status, k_answered) << run.err;
  EXPECT_EQ(run.err, "");
  return json::parse(run.out);
}

/// Text whose lines are put together again.
std::string unwrapped(std::string text) {
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

TEST(ArriveCommand, JsonHasWhatItsContractNames) {
  const json answer = answer_of({"arrive", k_wagon, "--json"});
  EXPECT_EQ(answer.at("command"), "arrive");
  EXPECT_TRUE(answer.at("never").contains("interval_95"));
  for (const char* key : {"burn", "time"}) {
    const json& quantiles = answer.at(key).at("quantiles");
    EXPECT_LT(quantiles.at("0.05").get<double>(), quantiles.at("0.95").get<double>());
  }
  double last = 1.0;
  for (const json& point : answer.at("rail_below")) {
    EXPECT_TRUE(point.contains("burn") && point.contains("time"));
    EXPECT_LE(point.at("estimate").at("chance").get<double>(), last);
    last = point.at("estimate").at("chance").get<double>();
  }
  const json& wait = answer.at("wait_for");
  EXPECT_NEAR(wait.at("guard_band").get<double>(), wait.at("reading").get<double>() - 0.65, 1e-12);
  EXPECT_LE(wait.at("too_early").at("chance").get<double>(), 0.01);
  const json& waiting = answer.at("waiting");
  EXPECT_LE(waiting.at("too_early").at("chance").get<double>(), 0.01);
  double shown = 0.0;
  for (const json& row : waiting.at("rows")) {
    for (const char* key : {"burn", "time", "reading", "within"}) {
      EXPECT_GT(row.at(key).get<double>(), 0.0) << key;
    }
    EXPECT_GT(row.at("shown_by_then").get<double>(), shown);
    shown = row.at("shown_by_then").get<double>();
  }
  EXPECT_GE(waiting.at("triggers").get<double>(), shown);
  EXPECT_GT(answer.at("enough").at("burn").get<double>(), 0.0);
}

// How long neither calibration fits is told where the old one's band is given, and never made up.
TEST(ArriveCommand, GapBetweenTheCalibrationsIsTold) {
  const json gap = answer_of({"arrive", k_wagon, "--json"}).at("gap");
  EXPECT_GT(gap.at("chance").at("chance").get<double>(), 0.99);
  const double leaves = gap.at("leaves").at("burn").at("quantiles").at("0.5");
  const double lasts = gap.at("burn").at("quantiles").at("0.5");
  EXPECT_GT(leaves, 0.0);
  EXPECT_GT(gap.at("burn").at("quantiles").at("0.95").get<double>(), lasts);
  EXPECT_GT(gap.at("time").at("quantiles").at("0.5").get<double>(), 0.0);
  const std::string text = unwrapped(run_with({"arrive", k_wagon}).out);
  EXPECT_NE(text.find("Between the calibrations (the old one bears at most 40 %)"),
            std::string::npos);
  EXPECT_NE(text.find("let the engine idle or load it gently only, or not at all"),
            std::string::npos);
  const json overlap =
      answer_of({"arrive", k_wagon, "--before.maximum", "70 %", "--json"}).at("gap");
  EXPECT_EQ(overlap.at("burn").at("quantiles").at("0.95").get<double>(), 0.0);
  const std::string fits = unwrapped(run_with({"arrive", k_wagon, "--before.maximum", "70 %"}).out);
  EXPECT_NE(fits.find("One of the two fits throughout"), std::string::npos);
  const json none = answer_of({"arrive", k_sedan, "--line.filter", "0.2 L", "--json"});
  EXPECT_TRUE(none.at("gap").is_null());
  EXPECT_TRUE(none.contains("gap_reason"));
  expect_refused({"arrive", k_wagon, "--before.minimum", "50 %"}, "before.minimum");
}

TEST(ArriveCommand, OnTheWayBackItIsTheMaximum) {
  const json answer =
      answer_of({"arrive", testing::source_dir() + "/examples/back-to-gasoline.ini",
                 "--line.filter", "0.2 L", "--sensor.bias", "normal(0 %, 1 %)", "--json"});
  EXPECT_EQ(answer.at("side"), "above");
  EXPECT_TRUE(answer.contains("rail_above"));
  EXPECT_LT(answer.at("wait_for").at("reading").get<double>(), 0.30);
  EXPECT_GT(answer.at("wait_for").at("guard_band").get<double>(), 0.0);
  EXPECT_TRUE(answer.at("time").is_null());
  EXPECT_TRUE(answer.contains("time_reason"));
}

TEST(ArriveCommand, TextOpensWithWhatToDo) {
  const Ran run = run_with({"arrive", k_wagon});
  EXPECT_EQ(run.status, k_answered);
  EXPECT_NE(run.out.find("\n\nWAIT FOR A ROW OF THE TABLE"), std::string::npos) << run.out;
  EXPECT_LT(run.out.find("WAIT FOR A ROW"), run.out.find("ONE READING THAT DOES"));
  EXPECT_LT(run.out.find("sensor, at least"), run.out.find("Followed so, 9")) << run.out;
  EXPECT_NE(run.out.find("WITHOUT A SENSOR, BURN 0."), std::string::npos);
  const Ran gallons = run_with({"arrive", k_wagon, "--units", "us"});
  EXPECT_NE(gallons.out.find(" gal burned"), std::string::npos);
  EXPECT_EQ(gallons.out.find(" L burned"), std::string::npos);
  std::istringstream lines(run.out);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 80U) << line;
}

// Without a volume every amount and reading would do, which must not be told.
TEST(ArriveCommand, LineWithoutVolumesIsRefused) {
  std::size_t refused = 0;
  for (const auto& file :
       std::filesystem::directory_iterator(testing::source_dir() + "/examples")) {
    const std::string path = file.path().string();
    if (!path.ends_with(".ini") || testing::contents(path).find("[line]") != std::string::npos)
      continue;
    for (const bool as_json : {false, true}) {
      std::vector<std::string> args{"arrive", path};
      if (as_json) args.emplace_back("--json");
      for (const char* key : {"line.reservoir", "line.filter", "line.pipe", "line.beyond-sensor"}) {
        expect_refused(args, key);
      }
    }
    expect_refused({"curve", path, "--along", "heel.indicated=2:8:2L", "--show", "arrival",
                    "--after", "0.3 L"},
                   "the line has no volume");
    ++refused;
  }
  EXPECT_EQ(refused, 8U);
}

TEST(ArriveCommand, SaysWhatTheScenarioLeavesOut) {
  const Ran run = run_with({"arrive", k_sedan, "--line.filter", "0.2 L"});
  EXPECT_EQ(run.status, k_answered);
  EXPECT_NE(run.out.find("gives the sensor no error"), std::string::npos);
  expect_refused({"arrive", k_sedan, "--line.filter", "0.2 L", "--sensor.lag", "5 s"},
                 "engine.idle");
}

// A reading that one case in five shows must not be told as if it were the plan.
TEST(ArriveCommand, ShareThatShowsTheReadingIsTold) {
  const json wait = answer_of({"arrive", k_wagon, "--json"}).at("wait_for");
  const double share = wait.at("triggers").get<double>();
  EXPECT_GT(share, 0.15);
  EXPECT_LT(share, 0.25);
  const std::string text = unwrapped(run_with({"arrive", k_wagon}).out);
  const std::string said =
      std::to_string(std::lround(100.0 * share)) + " % of the cases ever show it";
  EXPECT_NE(text.find(said), std::string::npos) << text;
  // Before when it shows.
  EXPECT_LT(text.find(said), text.find("after about"));
  EXPECT_NE(text.find("As long as it shows less than 65 %, do not switch."), std::string::npos);
  const std::string sure =
      unwrapped(run_with({"arrive", k_wagon, "--sensor.bias", "normal(0 %, 0.1 %)",
                          "--sensor.noise", "0.1 %", "--fuel.content", "normal(80 %, 1 %)"})
                    .out);
  EXPECT_EQ(sure.find("Where it does not show"), std::string::npos) << sure;
  // No row is found that one case in a hundred meets: the single reading stands alone, or none.
  const std::string none = unwrapped(run_with({"arrive", k_wagon, "--limits.minimum", "73 %"}).out);
  EXPECT_EQ(none.find("ROW OF THE TABLE"), std::string::npos) << none;
}

TEST(UpdateCommand, SaysWhatTheScenarioLeavesOut) {
  const std::string text = unwrapped(run_with({"update", k_sedan, "--reading", "0.3 L: 70 %"}).out);
  EXPECT_NE(text.find("gives the line no volume"), std::string::npos) << text;
  EXPECT_NE(text.find("gives the sensor no bias"), std::string::npos) << text;
  const std::string whole =
      unwrapped(run_with({"update", k_wagon, "--reading", "0.3 L: 61 %"}).out);
  EXPECT_EQ(whole.find("gives the line no volume"), std::string::npos) << whole;
  EXPECT_EQ(whole.find("gives the sensor no bias"), std::string::npos) << whole;
}

TEST(UpdateCommand, JsonHasWhatItsContractNames) {
  const json answer = answer_of(
      {"update", k_wagon, "--reading", "0.1 L: 31.5 %", "--reading", "0.3 L: 61 %", "--json"});
  EXPECT_EQ(answer.at("command"), "update");
  for (const char* key : {"landed", "rail_now", "burn_left"}) {
    EXPECT_TRUE(answer.at(key).at("quantiles").contains("0.5")) << key;
  }
  EXPECT_TRUE(answer.at("below_minimum").contains("interval_95"));
  EXPECT_TRUE(answer.at("above_maximum").is_null());
  EXPECT_GT(answer.at("effective_cases").get<double>(), 100.0);
  EXPECT_TRUE(answer.at("bias").contains("standard_deviation"));
  EXPECT_FALSE(answer.at("met").get<bool>());
}

TEST(UpdateCommand, RequireIsAboutTheInjectorsNow) {
  const std::vector<std::string> early{"update", k_wagon, "--reading", "0.1 L: 31 %", "--require"};
  EXPECT_EQ(run_with(early).status, k_risk_not_met);
  EXPECT_NE(run_with(early).out.find("NOT YET"), std::string::npos);
  const Ran late = run_with({"update", k_wagon, "--reading", "0.9 L: 73.5 %", "--require"});
  EXPECT_EQ(late.status, k_answered);
  EXPECT_NE(late.out.find("WITHIN THE ACCEPTED RISK"), std::string::npos);
}

TEST(UpdateCommand, LogGivesWhatInlineReadingsGive) {
  const TemporaryDirectory directory;
  const std::string log =
      directory.write("log.csv", "burned_l,reading_percent\n0.1,31.5\n0.3,61\n");
  const auto without_time = [](json answer) {
    answer.erase("elapsed_s");
    return answer;
  };
  EXPECT_EQ(without_time(answer_of({"update", k_wagon, "--readings", log, "--json"})),
            without_time(answer_of({"update", k_wagon, "--reading", "0.1 L: 31.5 %", "--reading",
                                    "0.3 L: 61 %", "--json"})));
}

TEST(UpdateCommand, StreamAnswersEveryReadingAndSkipsBrokenLines) {
  const Ran run = run_with({"update", k_wagon, "--readings", "-", "--json"},
                           "# typed\n0.1 L: 31.5 %\n\nnonsense\n0.2 L: 95 %\n"
                           "burned_l,reading_percent\n0.25,56\n0.2,50\n0.35,65");
  EXPECT_EQ(run.status, k_answered);
  const std::vector<json> answers = answers_of(run);
  ASSERT_EQ(answers.size(), 4U);
  EXPECT_EQ(answers[0].at("readings"), 1);
  EXPECT_TRUE(answers[1].at("landed").is_null());
  EXPECT_NE(answers[1].at("reason").get<std::string>().find("left out"), std::string::npos);
  EXPECT_EQ(answers[1].at("skipped"), 1);
  // The reading that contradicts is left out of those that follow.
  EXPECT_EQ(answers[2].at("readings"), 2);
  EXPECT_EQ(answers[3].at("readings"), 3);
  EXPECT_EQ(answers[3].at("skipped"), 2);
  EXPECT_EQ(std::count(run.err.begin(), run.err.end(), '\n'), 3) << run.err;
  EXPECT_NE(run.err.find("standard input:4: 'nonsense'"), std::string::npos) << run.err;
  EXPECT_NE(run.err.find("standard input:8: goes back"), std::string::npos) << run.err;
  EXPECT_NE(run.err.find("2 lines were skipped"), std::string::npos);
}

TEST(UpdateCommand, StreamEndsOnWhatItHolds) {
  const Ran text = run_with({"update", k_wagon, "--readings", "-", "--require"},
                            "2 min: 31 %\n20 min: 70.5 %\n50 min: 73.5 %\n");
  EXPECT_EQ(text.status, k_answered) << text.err;
  EXPECT_EQ(std::count(text.out.begin(), text.out.end(), '\n'), 1 + 3);
  EXPECT_NE(text.out.find("2 min: 31 % shown. NOT YET"), std::string::npos) << text.out;
  EXPECT_EQ(run_with({"update", k_wagon, "--readings", "-", "--require"}, "0.1 L: 31 %\n").status,
            k_risk_not_met);
  expect_refused({"update", k_wagon, "--readings", "-"}, "ended without a reading");
  expect_refused({"update", k_wagon, "--readings", "-"}, "ended without a reading", "\n# none\n");
  // What stands on the command line is bad input like any other there.
  expect_refused({"update", k_wagon, "--readings", "-", "--reading", "foo"}, "--reading: 'foo'");
  expect_refused({"update", k_wagon, "--readings", "-", "--reading", "0.3 L: 40 %", "--reading",
                  "0.1 L: 30 %"},
                 "--reading: goes back");
}

// Who switches by an answer of the stream has the caution before the eyes, and not above alone.
TEST(UpdateCommand, StreamCautionsWhereOneMaySwitch) {
  const Ran run = run_with({"update", k_wagon, "--readings", "-"}, "2 min: 31 %\n50 min: 73.5 %\n");
  const std::string caution(answer::words("caution.short"));
  std::istringstream lines(run.out);
  std::vector<std::string> told;
  for (std::string line; std::getline(lines, line);) told.push_back(line);
  ASSERT_EQ(told.size(), 3U) << run.out;
  EXPECT_EQ(told[0], caution);
  EXPECT_EQ(told[1].find(caution), std::string::npos) << told[1];
  EXPECT_TRUE(told[2].starts_with("50 min: 73.5 % shown. WITHIN. " + caution + " Now: "))
      << told[2];
}

// Risks that no case of the posterior shows are met or refused on their merits, by the stream too.
TEST(UpdateCommand, TellsRisksFarBelowWhatItsCasesShow) {
  const auto with_risk = [](const std::string& risk, const std::string& minimum) {
    return std::vector<std::string>{"update",
                                    k_wagon,
                                    "--limits.accepted-risk",
                                    risk,
                                    "--limits.minimum",
                                    minimum,
                                    "--reading",
                                    "0.2 L: 58 %",
                                    "--reading",
                                    "0.6 L: 70 %",
                                    "--json"};
  };
  const json refused = answer_of(with_risk("0.01 %", "65 %"));
  EXPECT_EQ(refused.at("met"), false);
  const double chance = refused.at("rail_outside").at("chance");
  EXPECT_GT(chance, 4e-4);
  EXPECT_LT(chance, 8e-4);
  EXPECT_LT(refused.at("rail_outside").at("standard_error"), 0.1 * chance);
  // What is left to burn brings it there.
  const double left = refused.at("enough_left").at("burn");
  EXPECT_GT(left, 0.1);
  EXPECT_LT(left, 0.6);
  EXPECT_EQ(answer_of(with_risk("0.1 %", "65 %")).at("met"), true);
  EXPECT_EQ(answer_of(with_risk("0.01 %", "64.5 %")).at("met"), true);
  const auto stream = [](const std::string& risk) {
    return run_with({"update", k_wagon, "--limits.accepted-risk", risk, "--readings", "-"},
                    "0.2 L: 58 %\n0.6 L: 70 %\n")
        .out;
  };
  EXPECT_EQ(stream("0.01 %").find("WITHIN"), std::string::npos);
  EXPECT_NE(stream("0.1 %").find("0.6 L burned: 70 % shown. WITHIN"), std::string::npos);
}

TEST(UpdateCommand, SaysOnceThatItIsNow) {
  const Ran run =
      run_with({"update", k_wagon, "--limits.minimum", "74 %", "--reading", "2 L: 66 %"});
  ASSERT_NE(run.out.find("waiting will not bring it there"), std::string::npos) << run.out;
  std::string text = run.out;
  std::replace(text.begin(), text.end(), '\n', ' ');
  EXPECT_NE(text.find("allows. The chance that the injectors now get"), std::string::npos) << text;
  EXPECT_EQ(text.find("Now chance"), std::string::npos) << text;
}

// What a log holds and is not read is told, not passed over.
TEST(UpdateCommand, ToldWhatOfALogIsNotRead) {
  const TemporaryDirectory directory;
  const std::string log = directory.write(
      "log.csv", "time_s,reading_percent,rate_l_per_h,gear\n60,31,1.4,n\n300,36.5,1.4,n\n");
  const std::string told =
      "The log's columns 'rate_l_per_h', 'gear' are not read: times become burned fuel by "
      "engine.schedule and its rates alone, whatever rate was logged; a column burned_l, or "
      "fuel_rate_l_per_h beside the times, is taken as it is.";
  EXPECT_EQ(answer_of({"update", k_wagon, "--readings", log, "--json"}).at("notes"),
            json::array({told}));
  std::string text = run_with({"update", k_wagon, "--readings", log}).out;
  EXPECT_NE(text.find("The log's columns 'rate_l_per_h', 'gear' are not read:"), std::string::npos)
      << text;
  const std::string burned =
      directory.write("burned.csv", "burned_l,reading_percent,gear\n0.1,31.5,n\n0.3,61,n\n");
  EXPECT_EQ(answer_of({"update", k_wagon, "--readings", burned, "--json"}).at("notes"),
            json::array({"The log's column 'gear' is not read."}));
  const std::string clock = directory.write("clock.csv", "time,reading_percent\n5:00,36.5\n");
  EXPECT_EQ(answer_of({"update", k_wagon, "--readings", clock, "--json"}).at("notes"),
            json::array());
  // Where such readings contradict the scenario, it is one place to look.
  const std::string fast = directory.write(
      "fast.csv", "time_s,reading_percent,rate_l_per_h\n0,30,9\n60,72,9\n90,72,9\n");
  expect_refused({"update", k_wagon, "--readings", fast},
                 "sensor.noise. The log's column 'rate_l_per_h' is not read: ");
  const Ran stream = run_with({"update", k_wagon, "--readings", "-", "--json"},
                              "time_s,reading_percent,rate_l_per_h\n60,31,1.4\n300,36.5,1.4\n");
  const std::vector<json> answers = answers_of(stream);
  ASSERT_EQ(answers.size(), 2U);
  EXPECT_EQ(answers[1].at("notes").size(), 1U);
  EXPECT_EQ(std::count(stream.err.begin(), stream.err.end(), '\n'), 1) << stream.err;
  EXPECT_NE(stream.err.find("'rate_l_per_h' is not read"), std::string::npos) << stream.err;
}

TEST(UpdateCommand, BadLogsGetOneLine) {
  const TemporaryDirectory directory;
  const auto refused = [&](const std::string& log, const std::string& with) {
    expect_refused({"update", k_wagon, "--readings", directory.write("log.csv", log)}, with);
  };
  refused("", "log.csv");
  refused("time_s\n5\n", "log.csv:1: no column 'reading_percent'");
  refused("reading_percent\n30\n", "log.csv:1: has neither");
  refused("time_s,reading_percent\n0,30\n9,31\n8,32\n", "log.csv:4: the time goes back");
  refused("time_s,reading_percent\n0,thirty\n", "log.csv:2");
  refused("time_s,reading_percent\n0,30 L\n", "log.csv:2");
  refused("time_s,reading_percent\n0,\n", "log.csv:2");
  refused("burned_l,reading_percent\n0.1,95\n", "contradict the scenario");
  expect_refused({"update", k_wagon, "--readings", "none.csv"}, "none.csv: cannot be opened");
  expect_refused({"update", k_wagon}, "no reading");
  expect_refused({"update", k_wagon, "--reading", "30 %"}, "is no reading");
  expect_refused({"update", k_sedan, "--reading", "4 min: 30 %"}, "engine.idle");
  expect_refused({"update", k_wagon, "--reading", "0.1 L: 31 %", "--method", "crude"},
                 "is an option of chance, arrive,");
}

TEST(UpdateCommand, OneRowIsEnough) {
  const TemporaryDirectory directory;
  const std::string log = directory.write("log.csv", "time_s,reading_percent\n300,36.5\n");
  EXPECT_EQ(answer_of({"update", k_wagon, "--readings", log, "--json"}).at("readings"), 1);
}

}  // namespace
}  // namespace blendrisk::cli::line_commands_test
