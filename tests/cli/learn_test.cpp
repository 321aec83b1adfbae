#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "tests/cli/temporary_files.hpp"
#include "tests/source_dir.hpp"

// learn as a user calls it.
namespace blendrisk::cli::learn_test {
namespace {

using nlohmann::json;
using Ran = testing::Run;
using testing::contents;
using testing::expect_refused;
using testing::run_with;
using testing::TemporaryDirectory;

const std::string k_examples = testing::source_dir() + "/examples/";
const std::string k_wagon = k_examples + "wagon-line.ini";
const std::string k_log = k_examples + "invented-changeover.csv";
const std::string k_tests = k_examples + "invented-pump-tests.csv";

/// The scenario's text without the sections that `names` lists.
std::string without_sections(const std::string& text, const std::vector<std::string>& names) {
  std::istringstream lines(text);
  std::string rest;
  bool skipped = false;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("[")) {
      skipped = std::find(names.begin(), names.end(), line) != names.end();
    }
    if (!skipped) rest += line + "\n";
  }
  return rest;
}

/// The log with the times of a clock that shows 23:55:00 at time 0.
std::string by_clock(const std::string& log) {
  std::istringstream lines(log);
  std::string line;
  std::getline(lines, line);
  std::string text = "clock" + line.substr(line.find(',')) + "\n";
  const auto two = [](long number) { return (number < 10 ? "0" : "") + std::to_string(number); };
  while (std::getline(lines, line)) {
    const std::size_t comma = line.find(',');
    const long second = (std::stol(line.substr(0, comma)) + 86100) % 86400;
    text += two(second / 3600) + ":" + two(second / 60 % 60) + ":" + two(second % 60) +
            line.substr(comma) + "\n";
  }
  return text;
}

TEST(LearnCommand, ClockTimesTeachWhatSecondsDo) {
  const TemporaryDirectory directory;
  const std::string log = directory.write("log.csv", by_clock(contents(k_log)));
  const auto lines = [&](const std::vector<std::string>& more) {
    std::vector<std::string> args{"learn", "--changeover", log, k_wagon, "--json"};
    args.insert(args.end(), more.begin(), more.end());
    const Ran run = run_with(args);
    EXPECT_EQ(run.status, k_answered) << run.err;
    return json::parse(run.out);
  };
  const json seconds =
      json::parse(run_with({"learn", "--changeover", k_log, k_wagon, "--json"}).out);
  const json started = lines({"--started", "23:55"});
  EXPECT_EQ(started.at("line"), seconds.at("line"));
  EXPECT_EQ(started.at("notes"), seconds.at("notes"));
  // The log's first row is time 0 in both.
  const json first = lines({});
  EXPECT_EQ(first.at("line"), seconds.at("line"));
  EXPECT_EQ(first.at("notes").size(), seconds.at("notes").size() + 1);
  EXPECT_NE(first.at("notes").dump().find("first row, 23:55:00: --started"), std::string::npos);
  EXPECT_NE(lines({"--started", "23:54"}).at("line"), seconds.at("line"));
  expect_refused({"learn", "--changeover", k_log, k_wagon, "--started", "23:55"},
                 "--started: does nothing to a log without clock times; ");
  expect_refused({"learn", "--pump-tests", k_tests, "--started", "23:55"},
                 "--started: goes with a log of clock times");
  const std::string both =
      directory.write("both.csv", "time_s,clock,reading_percent\n0,18:00,30\n60,18:01,31\n");
  expect_refused({"learn", "--changeover", both, k_wagon}, "both.csv:1: has both columns clock");
}

TEST(LearnCommand, PastedLinesRun) {
  const TemporaryDirectory directory;
  const Ran line = run_with({"learn", "--changeover", k_log, k_wagon});
  ASSERT_EQ(line.status, k_answered) << line.err;
  const std::string with_line = directory.write(
      "line.ini", without_sections(contents(k_wagon), {"[line]", "[engine]"}) + line.out);
  EXPECT_EQ(run_with({"arrive", with_line}).status, k_answered)
      << run_with({"arrive", with_line}).err;
  const Ran fuel = run_with({"learn", "--pump-tests", k_tests, "--group", "pump"});
  ASSERT_EQ(fuel.status, k_answered) << fuel.err;
  const std::string with_fuel =
      directory.write("fuel.ini", without_sections(contents(k_wagon), {"[fuel]"}) + fuel.out);
  const Ran chance = run_with({"chance", with_fuel});
  EXPECT_EQ(chance.status, k_answered) << chance.err;
  EXPECT_NE(chance.out.find("student("), std::string::npos);
}

// Thousands of tests, and tests that hardly differ, give lines that are read all the same, the
// comment's law too.
TEST(LearnCommand, PastedLinesRunWhateverTheTestsAre) {
  const TemporaryDirectory directory;
  std::string many = "content_percent\n";
  for (int i = 0; i < 5000; ++i) many += std::to_string(70.0 + 0.001234 * i) + "\n";
  for (const std::string& tests :
       {many, std::string("content_percent\n75.0000001\n75.0000002\n75.0000004\n")}) {
    const Ran run = run_with({"learn", "--pump-tests", directory.write("tests.csv", tests)});
    ASSERT_EQ(run.status, k_answered) << run.err;
    const std::string rest = without_sections(contents(k_wagon), {"[fuel]"});
    const std::string car = directory.write("car.ini", rest + run.out);
    EXPECT_EQ(run_with({"chance", car}).status, k_answered) << run_with({"chance", car}).err;
    const std::size_t at = run.out.find("# content = ");
    ASSERT_NE(at, std::string::npos);
    const std::string law = run.out.substr(at + 12, run.out.find('\n', at) - at - 12);
    const Ran of_the_mean = run_with({"chance", car, "--fuel.content", law});
    EXPECT_EQ(of_the_mean.status, k_answered) << of_the_mean.err;
  }
}

// The example was made with a pipe of 0.12 L, a filter of 0.16 L and 1.42 L/h.
// The law in the text is the one in JSON, for all tests and for each pump.
TEST(LearnCommand, PumpTestsAsJsonAndAsTextSayTheSame) {
  const TemporaryDirectory directory;
  const std::string tests = directory.write(
      "tests.csv",
      "pump,content_percent\nnorth,70\nnorth,74\nnorth,72\nsouth,80\nsouth,82\nsouth,81\n");
  const std::vector<std::string> args{"learn", "--pump-tests", tests, "--group", "pump"};
  const std::string text = run_with(args).out;
  std::vector<std::string> asked = args;
  asked.emplace_back("--json");
  const auto run = run_with(asked);
  ASSERT_EQ(run.status, k_answered) << run.err;
  const json answer = json::parse(run.out);
  EXPECT_NEAR(answer.at("all").at("mean").get<double>(), 0.765, 1e-12);
  EXPECT_EQ(answer.at("all").at("tests"), 6);
  ASSERT_EQ(answer.at("groups").size(), 2U);
  EXPECT_NEAR(answer.at("groups")[0].at("mean").get<double>(), 0.72, 1e-12);
  EXPECT_NEAR(answer.at("groups")[1].at("mean").get<double>(), 0.81, 1e-12);
  // scipy.stats.f_oneway, SciPy 1.10.
  EXPECT_NEAR(answer.at("groups_alike").get<double>(), 0.0022260500788713, 1e-12);
  for (const json& set : {answer.at("all"), answer.at("groups")[0], answer.at("groups")[1]}) {
    const auto law = set.at("content").get<std::string>();
    EXPECT_NE(text.find("content = " + law), std::string::npos) << law << "\n" << text;
  }
}

TEST(LearnCommand, ExampleGivesItsTruthBack) {
  const Ran run = run_with({"learn", "--changeover", k_log, k_wagon, "--json"});
  const json answer = json::parse(run.out);
  const auto near = [](const json& one, double truth) {
    EXPECT_TRUE(one.at("determined").get<bool>());
    EXPECT_NEAR(one.at("value").get<double>(), truth, 4.0 * one.at("standard_error").get<double>());
  };
  near(answer.at("line").at(0), 0.16);
  near(answer.at("line").at(1), 0.12);
  near(answer.at("idle"), 1.42 / 3600.0);
}

/// The prose of an answer's comment lines, whatever its line breaks.
std::string prose(const std::string& text) {
  std::istringstream words(text);
  std::string all;
  for (std::string word; words >> word;) {
    if (word != "#") all += (all.empty() ? "" : " ") + word;
  }
  return all;
}

/// Whether text and JSON of the same command both carry a note with `words`, and both not.
void expect_note(const std::vector<std::string>& args, const std::string& words, bool wanted) {
  const Ran text = run_with(args);
  ASSERT_EQ(text.status, k_answered) << text.err;
  EXPECT_EQ(prose(text.out).find(words) != std::string::npos, wanted) << text.out;
  std::vector<std::string> asked = args;
  asked.emplace_back("--json");
  const json notes = json::parse(run_with(asked).out).at("notes");
  const bool has = std::any_of(notes.begin(), notes.end(), [&](const json& note) {
    return note.get<std::string>().find(words) != std::string::npos;
  });
  EXPECT_EQ(has, wanted) << notes;
}

TEST(LearnCommand, SaysThatEveryTestCountsAsADelivery) {
  const std::string words =
      "Every test counts as a delivery of its own: where several tests are of one delivery, the "
      "law is too narrow.";
  expect_note({"learn", "--pump-tests", k_tests}, words, true);
  expect_note({"learn", "--changeover", k_log, k_wagon}, words, false);
}

TEST(LearnCommand, SaysThatLoggedRatesAreTakenAsExact) {
  const std::string words =
      "The logged rates are taken as exact: noise in them is not in the errors of the volumes, and "
      "makes their intervals too narrow.";
  expect_note({"learn", "--changeover", k_log, k_wagon}, words, true);
  // Without the column of rates there is nothing to take as exact.
  const TemporaryDirectory directory;
  std::istringstream rows(contents(k_log));
  std::string without;
  for (std::string row; std::getline(rows, row);) without += row.substr(0, row.rfind(',')) + "\n";
  expect_note({"learn", "--changeover", directory.write("log.csv", without), k_wagon}, words,
              false);
}

TEST(LearnCommand, AMillionRowsAreHandled) {
  const TemporaryDirectory directory;
  std::string text = "time_s,reading_percent\n";
  text.reserve(24'000'000);
  for (int i = 0; i < 1'000'000; ++i) {
    // One stirred tank of 0.2 L at 1.5 L/h, with a display that steps.
    const double time = 0.003 * i;
    const double shown = 70.0 - 40.0 * std::exp(-time * 1.5 / 3600.0 / 0.2);
    text += std::to_string(time) + "," + std::to_string(std::round(2.0 * shown) / 2.0) + "\n";
  }
  const std::string log = directory.write("long.csv", text);
  const Ran run = run_with({"learn", "--changeover", log, k_wagon, "--engine.idle", "1.5 L/h",
                            "--line.pipe", "0 L", "--json"});
  ASSERT_EQ(run.status, k_answered) << run.err;
  const json answer = json::parse(run.out);
  EXPECT_EQ(answer.at("rows"), 1'000'000);
  EXPECT_NEAR(answer.at("line").at(0).at("value").get<double>(), 0.2, 0.01);
}

TEST(LearnCommand, BadLogsGetOneLine) {
  const TemporaryDirectory directory;
  const auto refused = [&](const std::string& log, const std::string& with) {
    expect_refused({"learn", "--changeover", directory.write("log.csv", log), k_wagon}, with);
  };
  refused("", "log.csv");
  refused("time_s\n1\n", "log.csv:1: no column 'reading_percent'");
  refused("reading_percent\n1\n", "log.csv:1: no column 'time_s'");
  refused("time_s,reading_percent\n0,30\n", "log.csv:2: time_s: is the only row");
  refused("time_s,reading_percent\n0,30\n10,31\n5,32\n", "log.csv:4: time_s: goes back");
  refused("time_s,reading_percent\n0,30\n10,thirty\n", "log.csv:3");
  refused("time_s,reading_percent\n0,30 L\n10,31\n", "log.csv:2");
  refused("time_s,reading_percent\n0,30\n10,500\n", "log.csv:3: reading_percent: is out of range");
  refused("time_s,reading_percent,fuel_rate_l_per_h\n0,30,1\n10,31,-1\n",
          "log.csv:3: fuel_rate_l_per_h: is out of range");
  refused("time_s,reading_percent\n0,30\n10,31\n20,33\n", "log.csv:4: has 3 rows");
  std::string still = "time_s,reading_percent\n";
  for (int i = 0; i < 50; ++i) still += std::to_string(10 * i) + ",30\n";
  refused(still, "never moves");
}

TEST(LearnCommand, WhatItTakesIsSaid) {
  expect_refused({"learn"}, "one log is wanted");
  expect_refused({"learn", "--pump-tests", k_tests, "--changeover", k_log}, "one log is wanted");
  expect_refused({"learn", "--changeover", k_log}, "needs the car's scenario");
  expect_refused({"learn", "--pump-tests", k_tests, k_wagon}, "takes no scenario");
  expect_refused({"learn", "--changeover", k_log, k_wagon, "--group", "pump"}, "--group");
  expect_refused({"learn", "--pump-tests", "none.csv"}, "none.csv: cannot be opened");
  expect_refused({"chance", k_wagon, "--group", "pump"}, "is an option of learn");
  expect_refused({"learn", "--changeover", k_log, k_wagon, "--seed", "2"}, "is an option of");
}

}  // namespace
}  // namespace blendrisk::cli::learn_test
