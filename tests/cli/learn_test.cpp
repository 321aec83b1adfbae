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
const std::string k_shop = k_examples + "invented-shop.csv";
const std::string k_shop_wagon = k_examples + "shop/wagon.ini";
const std::string k_shop_hatchback = k_examples + "shop/hatchback.ini";

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
  expect_refused({"learn", "--log", k_tests, "--started", "23:55"},
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
  const Ran fuel = run_with({"learn", "--log", k_tests, "--pump", "north", "--group", "pump"});
  ASSERT_EQ(fuel.status, k_answered) << fuel.err;
  const std::string with_fuel =
      directory.write("fuel.ini", without_sections(contents(k_wagon), {"[fuel]"}) + fuel.out);
  const Ran chance = run_with({"chance", with_fuel});
  EXPECT_EQ(chance.status, k_answered) << chance.err;
  EXPECT_NE(chance.out.find("student("), std::string::npos);
}

// Thousands of tests, and tests that hardly differ, give lines that are read all the same; of few
// without a date the comment's law is, too.
TEST(LearnCommand, PastedLinesRunWhateverTheTestsAre) {
  const TemporaryDirectory directory;
  std::string many = "content_percent\n";
  for (int i = 0; i < 5000; ++i) many += std::to_string(70.0 + 0.001234 * i) + "\n";
  for (const std::string& tests :
       {many, std::string("content_percent\n75.0000001\n75.0000002\n75.0000004\n")}) {
    const Ran run = run_with({"learn", "--log", directory.write("tests.csv", tests)});
    ASSERT_EQ(run.status, k_answered) << run.err;
    const std::string rest = without_sections(contents(k_wagon), {"[fuel]"});
    const std::string car = directory.write("car.ini", rest + run.out);
    EXPECT_EQ(run_with({"chance", car}).status, k_answered) << run_with({"chance", car}).err;
    const std::size_t at = run.out.find("# content = ");
    ASSERT_EQ(at == std::string::npos, tests == many);
    if (tests == many) continue;
    const std::string law = run.out.substr(at + 12, run.out.find('\n', at) - at - 12);
    const Ran of_the_mean = run_with({"chance", car, "--fuel.content", law});
    EXPECT_EQ(of_the_mean.status, k_answered) << of_the_mean.err;
  }
}

// Without a date each test is a delivery: of a group of one pump the t of ISO 16269-8 (from
// memory). The law in the text is the one in JSON.
TEST(LearnCommand, PumpTestsAsJsonAndAsTextSayTheSame) {
  const TemporaryDirectory directory;
  const std::string tests = directory.write(
      "tests.csv",
      "pump,content_percent\nnorth,70\nnorth,74\nnorth,72\nsouth,80\nsouth,82\nsouth,81\n");
  const std::vector<std::string> args{"learn", "--log",   tests, "--pump",
                                      "south", "--group", "pump"};
  const std::string text = testing::text_of(args);
  const json answer = testing::answer_of(args);
  const json& pump = answer.at("pump");
  EXPECT_EQ(pump.at("tests"), 6);
  EXPECT_EQ(pump.at("deliveries"), 6);
  EXPECT_NEAR(pump.at("pumps")[0].at("mean").get<double>(), 0.72, 1e-12);
  EXPECT_NEAR(pump.at("pumps")[1].at("mean").get<double>(), 0.81, 1e-12);
  EXPECT_EQ(pump.at("next_delivery"), pump.at("pumps")[1].at("next_delivery"));
  // scipy.stats.f_oneway, SciPy 1.10.
  EXPECT_NEAR(pump.at("pumps_alike").get<double>(), 0.0022260500788713, 1e-12);
  ASSERT_EQ(answer.at("groups").size(), 2U);
  const json& south = answer.at("groups")[1];
  EXPECT_EQ(south.at("group"), "south");
  EXPECT_NEAR(south.at("pump").at("next_delivery").at("center").get<double>(), 0.81, 1e-12);
  EXPECT_NEAR(south.at("pump").at("next_delivery").at("scale").get<double>(),
              0.01 * std::sqrt(4.0 / 3.0), 1e-9);
  EXPECT_NEAR(south.at("pump").at("next_delivery").at("dof").get<double>(), 2.0, 1e-6);
  for (const json& laws : {answer, south}) {
    const auto law = laws.at("lines").at("fuel.content").get<std::string>();
    EXPECT_NE(text.find("content = " + law), std::string::npos) << law << "\n" << text;
  }
  // The pump without tests in its rows is a further one, which one pump does not tell of.
  const json& north = answer.at("groups")[0];
  EXPECT_TRUE(north.at("pump").at("next_delivery").is_null());
  EXPECT_FALSE(north.at("lines").contains("fuel.content"));
}

/// The middle 99.9 % of what a t of JSON says; SciPy's t.ppf(0.9995, 30) is 3.65, more for fewer.
void expect_holds(const json& law, double truth) {
  EXPECT_NEAR(law.at("center").get<double>(), truth, 3.65 * law.at("scale").get<double>()) << law;
}

// The truth stands in tests/evidence/invented_shop.py; the printed laws are of one log, each of
// which holds its truth in 999 of 1000.
TEST(LearnCommand, TheInventedShopsLawsHoldItsTruth) {
  struct Car {
    std::string scenario, name;
    double bias, click_off, gauge, gauge_sd;
  };
  for (const Car& car : {Car{k_shop_wagon, "wagon", -0.02, 62.0, -0.5, 1.0},
                         Car{k_shop_hatchback, "hatchback", 0.015, 45.0, 0.8, 0.7}}) {
    const json answer =
        testing::answer_of({"learn", "--log", k_shop, car.scenario, "--pump", "north"});
    EXPECT_EQ(answer.at("car"), car.name);
    EXPECT_EQ(answer.at("rows"), 96);
    expect_holds(answer.at("sensor").at("bias"), car.bias);
    // 0.5 %: χ² of 30 checks leaves the scatter of 1 % within 50 %.
    EXPECT_NEAR(answer.at("sensor").at("noise").get<double>(), 0.005, 0.004);
    expect_holds(answer.at("gauge").at("click_off"), car.click_off);
    expect_holds(answer.at("gauge").at("gauge_error"), car.gauge);
    // Gauge, click-off and a display of 0.5 L together, within a third: χ² of 30 fills.
    const double scatter = std::hypot(car.gauge_sd, car.name == "wagon" ? 0.6 : 0.5, 0.5 / 3.46);
    EXPECT_NEAR(answer.at("gauge").at("standard_deviation").get<double>() / scatter, 1.0, 0.34);
    // A season of 3 % and deliveries that vary by 2.5 %: 3.3 % over a year.
    const json& fuel = answer.at("pump").at("next_delivery");
    expect_holds(fuel, 0.77);
    EXPECT_NEAR(fuel.at("scale").get<double>() / 0.033, 1.0, 0.3);
    EXPECT_FALSE(answer.at("pump").at("season").at("told").get<bool>());
  }
  const json hatchback = testing::answer_of({"learn", "--log", k_shop, k_shop_hatchback});
  EXPECT_EQ(hatchback.at("gauge").at("left_out"), json::array({28}));
  // Wrong scales, the twin: a law of the delivery alone, as if it were known to a tenth.
  json twin = hatchback.at("sensor").at("bias");
  twin["center"] = 0.015 + 0.01;
  EXPECT_GT(0.01, 3.65 * twin.at("scale").get<double>());
}

// Pasted in place of what the scenarios say, the laws forecast the same year honestly.
TEST(LearnCommand, PastedLawsOfTheShopAreHonest) {
  const TemporaryDirectory directory;
  std::vector<std::string> args{"verify", k_shop};
  for (const auto& [path, name] :
       {std::pair(k_shop_hatchback, "hatchback"), std::pair(k_shop_wagon, "wagon")}) {
    const json lines =
        testing::answer_of({"learn", "--log", k_shop, path, "--pump", "north"}).at("lines");
    std::istringstream old(contents(path));
    std::string text;
    std::string section;
    for (std::string line; std::getline(old, line);) {
      if (line.starts_with("[")) section = line.substr(1, line.find(']') - 1);
      const std::string key = line.substr(0, line.find_first_of(" ="));
      const bool learnt = lines.contains(section + "." + key);
      text += learnt ? key + " = " + lines.at(section + "." + key).get<std::string>() + "\n"
                     : line + "\n";
    }
    const std::string both = "tank.click-off, heel.gauge-error";
    text += "[correlation]\n" + both + " = " + lines.at("correlation: " + both).get<std::string>() +
            "\n";
    args.push_back(directory.write(std::string(name) + ".ini", text));
  }
  const json verdict = testing::answer_of(args);
  EXPECT_EQ(verdict.at("all").at("verdict"), "honest");
  EXPECT_EQ(verdict.at("rows_excluded").size(), 1U);
}

TEST(LearnCommand, SaysWhatALogDoesNotTell) {
  const TemporaryDirectory directory;
  const std::string car = directory.write(
      "van.ini",
      "[tank]\ncapacity = 50 L\n[heel]\nindicated = 8 L\ncontent = 8 %\n[fuel]\ncontent = 75 %\n"
      "[limits]\nminimum = 60 %\n");
  const auto notes = [&](const std::string& log, const std::string& words) {
    const json answer =
        testing::answer_of({"learn", "--log", directory.write("log.csv", log), car});
    EXPECT_NE(answer.at("notes").dump().find(words), std::string::npos) << answer.at("notes");
    return answer;
  };
  const std::string fills = "indicated_l,shown_l,stopped_by\n";
  json answer = notes(fills + "8,41,click-off\n8,42,click-off\n8,41.5,click-off\n",
                      "Every indication is the same");
  EXPECT_NE(answer.at("notes").dump().find("tank.click-off exact"), std::string::npos);
  EXPECT_EQ(answer.at("lines").size(), 1U);
  EXPECT_EQ(answer.at("gauge").at("rank_correlation"), 0.0);
  answer = notes(fills + "8,41,click-off\n", "Too few fills of the car");
  EXPECT_TRUE(answer.at("lines").empty());
  notes(fills + "8,41,hand\n", "No row of the car has what the gauge showed");
  notes("reading_percent,landed_test_percent\n70,71\n", "No two checks that differ");
  notes("reading_percent,landed_test_percent\n70,71\n69,70\n", "No two checks that differ");
  notes("content_percent\n75\n", "are of one delivery");
  notes("content_percent\n75\n75\n", "are equal");
  notes("date,content_percent\n2031-01-03,75\n2031-02-03,77\n", "No season is told");
  notes(
      "car,reading_percent,landed_test_percent,indicated_l,shown_l,stopped_by\n"
      "a,70,71,8,41,click-off\na,71,71.5,8,42,click-off\nb,70,69,8,41,click-off\n",
      "several cars, none of them called as the scenario");
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

TEST(LearnCommand, SaysThatEveryTestWithoutADateCountsAsADelivery) {
  const TemporaryDirectory directory;
  const std::string tests = directory.write("tests.csv", "content_percent\n75\n77\n74\n");
  const std::string words =
      "every one counts as a delivery of its own: where several tests are of one delivery, the law "
      "is too narrow.";
  expect_note({"learn", "--log", tests}, words, true);
  expect_note({"learn", "--log", k_tests, "--pump", "north"}, words, false);
  expect_note({"learn", "--changeover", k_log, k_wagon}, words, false);
}

TEST(LearnCommand, SaysHowMuchLoggedRatesScatter) {
  const std::string words =
      "The logged rates scatter by 2.8 % from row to row, and the errors hold that. An error that "
      "all of them share is not in there: it is in every volume.";
  expect_note({"learn", "--changeover", k_log, k_wagon}, words, true);
  // Without the column of rates there is nothing that scatters.
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

// Squares of so many rows would take 30 GB.
TEST(LearnCommand, LongShopLogsAreHandled) {
  const TemporaryDirectory directory;
  std::string text = "reading_percent,landed_test_percent,indicated_l,shown_l,stopped_by\n";
  for (int i = 0; i < 60'000; ++i) {
    const std::string off = std::to_string(0.01 * (i * 7919 % 997));
    text += "7" + off + ",70," + std::to_string(5 + i % 9) + "," + std::to_string(50 - i % 9) +
            off.substr(1) + ",click-off\n";
  }
  const json answer =
      testing::answer_of({"learn", "--log", directory.write("long.csv", text), k_shop_wagon});
  EXPECT_EQ(answer.at("sensor").at("checks"), 60'000);
  EXPECT_EQ(answer.at("gauge").at("fills"), 60'000);
}

TEST(LearnCommand, BadShopLogsGetOneLine) {
  const TemporaryDirectory directory;
  const auto refused = [&](const std::string& log, const std::string& with) {
    expect_refused({"learn", "--log", directory.write("log.csv", log)}, "log.csv" + with);
  };
  refused("", "");
  refused("pump\nnorth\n", ":1: no column pump_test_percent");
  refused("content_percent\n\"\"\n", ": ");
  refused("content_percent\n101\n", ":2: content_percent: '101' is out of range");
  refused("content_percent\nx\n", ":2: content_percent");
  refused("date,content_percent\nsoon,70\n", ":2: date: 'soon' is no date");
}

TEST(LearnCommand, WhatItTakesIsSaid) {
  expect_refused({"learn"}, "one log is wanted");
  expect_refused({"learn", "--log", k_tests, "--changeover", k_log}, "one log is wanted");
  expect_refused({"learn", "--changeover", k_log}, "needs the car's scenario");
  expect_refused({"learn", "--log", k_tests, "--pump", "west"}, "--pump: 'west' is not in the log");
  expect_refused({"learn", "--log", k_shop, k_shop_wagon, "--car", "van"},
                 "--car: 'van' is not in the log");
  expect_refused({"learn", "--log", k_tests, k_wagon, "--car", "van"},
                 "--car: the log has no column car");
  expect_refused({"learn", "--log", k_tests, "--on", "2031-07-01"}, "--on: does nothing");
  expect_refused({"learn", "--log", k_tests, "--on", "soon"}, "--on: 'soon' is no date");
  expect_refused({"learn", "--log", k_tests, "--same-delivery", "-1"}, "--same-delivery: '-1'");
  expect_refused({"learn", "--log", k_tests, "--where", "pump=west"}, "no row has 'west'");
  for (const std::string option : {"--group", "--pump", "--car"}) {
    expect_refused({"learn", "--changeover", k_log, k_wagon, option, "pump"},
                   option + ": goes with --log");
  }
  expect_refused({"learn", "--log", "none.csv"}, "none.csv: cannot be opened");
  expect_refused({"learn", "--pump-tests", k_tests}, "unknown option '--pump-tests'");
  expect_refused({"chance", k_wagon, "--group", "pump"}, "is an option of learn and verify");
  expect_refused({"learn", "--changeover", k_log, k_wagon, "--seed", "2"}, "is an option of");
}

}  // namespace
}  // namespace blendrisk::cli::learn_test
