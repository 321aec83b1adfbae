#include "scenario/read.hpp"

#include <gtest/gtest.h>

#include <stdexcept>
#include <string>

#include "distributions/distribution.hpp"
#include "scenario/ini.hpp"
#include "scenario/keys.hpp"
#include "scenario/known.hpp"
#include "text/error.hpp"

namespace blendrisk::scenario::read_test {
namespace {

// The car is invented.
constexpr const char* k_every_key = R"(title = Invented wagon
[tank]
capacity = 20 gal
click-off = uniform(70 L, 80 L)
pickup-floor = 1500 mL
[heel]
indicated = 1 imp-gal
gauge-error = normal(-0.5 L, 1.2 L)
content = uniform(5 %, 10 %)
[sensor]
bias = normal(1 %, 2 %)
noise = 0.5 %
step = 1 %
lag = 2 min
[fuel]
content = 85 %
meter-error = normal(-0.1 %, 0.3 %)
hose-volume = 0.1 gal
hose-content = 15 %
price = 0.92 /L
[fill]
amount = 40 L
[fill-2]
content = 70 %
burn-first = uniform(10 L, 12 L)
[fill-3]
content = 80 %
indicated = 9 L
amount = click-off
[line]
reservoir = 0.6 L
filter = 0.2 L
pipe = 150 mL
pipe-flow = plug
return-flow = 60 L/h
beyond-sensor = 0.05 L
content = 12 %
[engine]
idle = 0.9 L/h
gentle = uniform(3 L/h, 5 L/h)
schedule = idle 4 min, gentle 30 s, idle
[limits]
minimum = 60 %
maximum = 90 %
accepted-risk = 2 %
dry-risk = 0.5 %
)";

constexpr const char* k_least = R"([tank]
capacity = 60 L
[heel]
indicated = 5 L
content = 10 %
[fuel]
content = 75 %
[limits]
minimum = 60 %
)";

std::string no_files(const std::string&) {
  throw text::Error("no files here");
}

Scenario read_text(const std::string& text, const std::vector<Override>& overrides = {}) {
  return read({"dir/car.ini", text}, overrides, no_files);
}

std::string error_of(const std::string& text, const std::vector<Override>& overrides = {},
                     const ReadText& files = no_files) {
  try {
    read({"car.ini", text}, overrides, files);
  } catch (const text::Error& error) {
    return error.what();
  }
  return "no error";
}

double mean_of(const Distribution& law) {
  return distributions::mean(law);
}

// An eighth of 60 L is 7.5 L: half of that either way of an exact error.
TEST(Read, WhatTheGaugeCanShowIsInItsError) {
  constexpr const char* k_eighths = R"([tank]
capacity = 60 L
[heel]
indicated = 15 L
gauge-error = 1 L
gauge-step = 1/8 tank
content = 10 %
[fuel]
content = 80 %
[limits]
minimum = 60 %
)";
  const Scenario scenario = read_text(k_eighths);
  EXPECT_DOUBLE_EQ(scenario.heel.gauge_step_l, 7.5);
  EXPECT_DOUBLE_EQ(distributions::lowest(scenario.heel.gauge_error), 1.0 - 3.75);
  EXPECT_DOUBLE_EQ(distributions::highest(scenario.heel.gauge_error), 1.0 + 3.75);
  EXPECT_NEAR(distributions::cdf(scenario.heel.gauge_error, 0.0), 2.75 / 7.5, 1e-12);
}

// What people type, whatever its case; the values are those of k_least.
TEST(Read, SectionsKeysWordsAndCommentsInAnyCase) {
  const Scenario scenario = read_text(R"(; a comment
[Tank]
Capacity = 60 Litres ; nominal
[ HEEL ]
Indicated = 1/8 tank  # 7.5 L
content = 10 percent
[Fuel]
content = Uniform(70 %, 80 %)
Price = 0.98 EUR/L
[Fill]
amount = Click-Off
[Fill-2]
content = uniform(70 %, 80 %)
indicated = 12 % of tank
[Line]
pipe-flow = Plug
[Engine]
idle = 0.9 l/h
schedule = Idle 4 minutes, IDLE
[limits]
minimum = 60 % ;
accepted-risk = 1 in 100
[Correlation]
Fuel.Content, fill-2.content = 0.5
)");
  EXPECT_DOUBLE_EQ(scenario.tank.capacity_l, 60.0);
  EXPECT_DOUBLE_EQ(scenario.heel.indicated_l, 7.5);
  EXPECT_DOUBLE_EQ(scenario.fills.at(1).indicated_l.value(), 7.2);
  EXPECT_DOUBLE_EQ(scenario.fills.at(0).price_per_l.value(), 0.98);
  EXPECT_FALSE(scenario.fills.at(0).amount_l);
  EXPECT_EQ(scenario.line.pipe_flow, PipeFlow::plug);
  EXPECT_DOUBLE_EQ(scenario.engine.schedule.at(0).duration_s.value(), 240.0);
  EXPECT_DOUBLE_EQ(scenario.limits.accepted_risk, 0.01);
  ASSERT_EQ(scenario.correlations.size(), 1U);
  EXPECT_EQ(scenario.correlations[0].first, "fuel.content");
}

TEST(Read, ASemicolonInsideATextIsNoComment) {
  const Scenario scenario = read_text("title = Wagon; second; tank #1\n" + std::string(k_least));
  EXPECT_EQ(scenario.title, "Wagon; second; tank");
}

TEST(Read, CommentsOfBothKindsGoWithTheirKeys) {
  const std::vector<Entry> entries = parse_ini(
      "car.ini",
      "[Tank]\nCapacity = 60 L ; as its plate says\n[heel]\n; no key\nindicated = 5 L # the gauge\n"
      "content = measured(\"a ;b.csv\", \"c\")  ; tests # and more\ngauge-error = 1 L\r\n");
  ASSERT_EQ(entries.size(), 4U);
  EXPECT_EQ(entries[0].key, "tank.capacity");
  EXPECT_EQ(entries[0].comment, "as its plate says");
  EXPECT_EQ(entries[1].comment, "the gauge");
  EXPECT_EQ(entries[1].place.line, 5U);
  EXPECT_EQ(entries[2].value, "measured(\"a ;b.csv\", \"c\")");
  EXPECT_EQ(entries[2].comment, "tests # and more");
  EXPECT_EQ(entries[3].comment, "");
}

// What stands on the command line has nothing to do with the file's comment on its own value.
TEST(Read, CommentsStayWithTheValuesOfTheFile) {
  const std::string text =
      std::string(k_least) + "[correlation]\nfuel.content, heel.content = 0.3 # guessed\n";
  const Scenario s =
      read_text("title = A # its name\n" + text, {{"title", "B"},
                                                  {"fuel.content", "normal(75 %, 2 %)"},
                                                  {"heel.content", "normal(10 %, 1 %)"}});
  EXPECT_EQ(s.given.front().value, "B");
  EXPECT_EQ(s.given.front().comment, "");
  EXPECT_EQ(s.given.back().comment, "guessed");
}

// A file of measured values may be large: it is asked for once.
TEST(Read, AMeasuredColumnIsReadOnce) {
  int asked = 0;
  const ReadText files = [&asked](const std::string&) {
    ++asked;
    return "x_percent\n70\n74\n";
  };
  const Scenario s =
      read({"car.ini", std::string(k_least) + "[correlation]\nfuel.content, heel.content = 0.3\n"},
           {{"fuel.content", R"(measured("t.csv", "x_percent"))"},
            {"heel.content", "normal(10 %, 1 %)"}},
           files);
  EXPECT_EQ(asked, 1);
  ASSERT_EQ(measured(s).size(), 1U);
  EXPECT_EQ(measured(s)[0].key, "fuel.content");
  EXPECT_EQ(measured(s)[0].count, 2U);
}

TEST(Read, TakesTankHeelAndSensorToInnerUnits) {
  const Scenario s = read_text(k_every_key);
  EXPECT_EQ(s.title, "Invented wagon");
  EXPECT_DOUBLE_EQ(s.tank.capacity_l, 20 * 3.785411784);
  EXPECT_DOUBLE_EQ(distributions::lowest(s.tank.click_off), 70.0);
  EXPECT_DOUBLE_EQ(distributions::highest(s.tank.click_off), 80.0);
  EXPECT_DOUBLE_EQ(s.tank.pickup_floor_l, 1.5);
  EXPECT_DOUBLE_EQ(s.heel.indicated_l, 4.54609);
  EXPECT_FALSE(s.heel.economy_l_per_km);
  EXPECT_DOUBLE_EQ(mean_of(s.heel.gauge_error), -0.5);
  ASSERT_TRUE(s.heel.content);
  EXPECT_DOUBLE_EQ(mean_of(*s.heel.content), 0.075);
  EXPECT_FALSE(s.heel.reading);
  EXPECT_DOUBLE_EQ(mean_of(s.sensor.bias), 0.01);
  EXPECT_DOUBLE_EQ(s.sensor.noise_sd, 0.005);
  EXPECT_DOUBLE_EQ(s.sensor.step, 0.01);
  EXPECT_DOUBLE_EQ(s.sensor.lag_s, 120.0);
}

TEST(Read, TakesFillsToInnerUnits) {
  const Scenario s = read_text(k_every_key);
  ASSERT_EQ(s.fills.size(), 3U);
  const Fill& first = s.fills[0];
  EXPECT_DOUBLE_EQ(mean_of(first.content), 0.85);
  EXPECT_DOUBLE_EQ(mean_of(first.meter_error), -0.001);
  EXPECT_DOUBLE_EQ(mean_of(first.hose_volume), 0.3785411784);
  EXPECT_DOUBLE_EQ(mean_of(first.hose_content), 0.15);
  EXPECT_DOUBLE_EQ(first.price_per_l.value(), 0.92);
  EXPECT_DOUBLE_EQ(first.amount_l.value(), 40.0);
  EXPECT_DOUBLE_EQ(mean_of(s.fills[1].content), 0.7);
  EXPECT_DOUBLE_EQ(mean_of(s.fills[1].burn_first), 11.0);
  EXPECT_FALSE(s.fills[1].indicated_l);
  EXPECT_FALSE(s.fills[1].amount_l);
  EXPECT_DOUBLE_EQ(mean_of(s.fills[1].hose_content), 0.1);
  EXPECT_DOUBLE_EQ(s.fills[2].indicated_l.value(), 9.0);
  EXPECT_DOUBLE_EQ(mean_of(s.fills[2].burn_first), 0.0);
  EXPECT_FALSE(s.fills[2].amount_l);
}

TEST(Read, TakesLineEngineAndLimitsToInnerUnits) {
  const Scenario s = read_text(k_every_key);
  EXPECT_DOUBLE_EQ(mean_of(s.line.reservoir), 0.6);
  EXPECT_DOUBLE_EQ(mean_of(s.line.filter), 0.2);
  EXPECT_DOUBLE_EQ(mean_of(s.line.pipe), 0.15);
  EXPECT_DOUBLE_EQ(mean_of(s.line.beyond_sensor), 0.05);
  EXPECT_NEAR(mean_of(s.line.return_flow), 60.0 / 3600.0, 1e-15);
  EXPECT_DOUBLE_EQ(mean_of(s.line.content.value()), 0.12);
  EXPECT_EQ(s.line.pipe_flow, PipeFlow::plug);
  EXPECT_NEAR(mean_of(s.engine.idle.value()), 0.9 / 3600.0, 1e-15);
  EXPECT_NEAR(mean_of(s.engine.gentle.value()), 4.0 / 3600.0, 1e-15);
  ASSERT_EQ(s.engine.schedule.size(), 3U);
  EXPECT_EQ(s.engine.schedule[0].load, Load::idle);
  EXPECT_DOUBLE_EQ(s.engine.schedule[0].duration_s.value(), 240.0);
  EXPECT_EQ(s.engine.schedule[1].load, Load::gentle);
  EXPECT_DOUBLE_EQ(s.engine.schedule[1].duration_s.value(), 30.0);
  EXPECT_FALSE(s.engine.schedule[2].duration_s);
  EXPECT_DOUBLE_EQ(s.limits.minimum.value(), 0.6);
  EXPECT_DOUBLE_EQ(s.limits.maximum.value(), 0.9);
  EXPECT_DOUBLE_EQ(s.limits.accepted_risk, 0.02);
  EXPECT_DOUBLE_EQ(s.limits.dry_risk, 0.005);
}

TEST(Read, FillsInTheDefaultsOfTheTable) {
  const Scenario s = read_text(k_least);
  EXPECT_EQ(s.title, "car.ini");
  EXPECT_DOUBLE_EQ(mean_of(s.tank.click_off), 60.0);
  EXPECT_DOUBLE_EQ(s.tank.pickup_floor_l, 0.0);
  EXPECT_DOUBLE_EQ(mean_of(s.heel.gauge_error), 0.0);
  EXPECT_DOUBLE_EQ(mean_of(s.fills.at(0).hose_content), 0.1);
  EXPECT_FALSE(s.fills[0].amount_l);
  EXPECT_FALSE(s.fills[0].price_per_l);
  EXPECT_EQ(s.line.pipe_flow, PipeFlow::laminar);
  EXPECT_FALSE(s.line.content);
  EXPECT_FALSE(s.engine.idle);
  ASSERT_EQ(s.engine.schedule.size(), 1U);
  EXPECT_FALSE(s.limits.maximum);
  EXPECT_DOUBLE_EQ(s.limits.accepted_risk, 0.01);
}

TEST(Read, ListsWhatWasGivenInTableOrder) {
  const Scenario s = read_text(k_least, {{"tank.pickup-floor", "2 L"}, {"heel.indicated", "7 L"}});
  ASSERT_EQ(s.given.size(), 6U);
  EXPECT_EQ(s.given[0].key, "tank.capacity");
  EXPECT_EQ(s.given[1].key, "tank.pickup-floor");
  EXPECT_EQ(s.given[2].key, "heel.indicated");
  EXPECT_EQ(s.given[2].value, "7 L");
  EXPECT_EQ(s.given[5].key, "limits.minimum");
}

TEST(Read, EveryKeyGivenIsListedOnce) {
  const Scenario s = read_text(k_every_key);
  for (const Given& given : s.given) EXPECT_NE(find_key(given.key), nullptr) << given.key;
  EXPECT_EQ(s.given.size(), 36U);
}

TEST(Read, OverrideWinsOverTheFile) {
  const Scenario s = read_text(k_every_key, {{"heel.indicated", "  12 L "}, {"title", "Other"}});
  EXPECT_DOUBLE_EQ(s.heel.indicated_l, 12.0);
  EXPECT_EQ(s.title, "Other");
}

TEST(Read, OverrideTakesThePlaceOfTheKeyItExcludes) {
  const Scenario s = read_text(k_every_key, {{"heel.reading", "8 %"}});
  EXPECT_FALSE(s.heel.content);
  EXPECT_DOUBLE_EQ(s.heel.reading.value(), 0.08);
}

TEST(Read, OverridesThatExcludeEachOtherAreAnError) {
  const std::string error = error_of(k_least, {{"heel.reading", "8 %"}, {"heel.content", "8 %"}});
  EXPECT_NE(error.find("--heel.reading: "), std::string::npos) << error;
}

TEST(Read, IndicatedFollowsFromDistanceEconomyAndReserve) {
  const Scenario s = read_text(R"([tank]
capacity = 60 L
[heel]
distance-left = 50 km
economy = 8 L/100km
reserve = 3 L
reading = 12 %
[fuel]
content = 75 %
[limits]
maximum = 90 %
)");
  EXPECT_NEAR(s.heel.indicated_l, 7.0, 1e-12);
  EXPECT_NEAR(s.heel.economy_l_per_km.value(), 0.08, 1e-15);
  EXPECT_DOUBLE_EQ(s.heel.reserve_l, 3.0);
}

TEST(Read, AcceptsByteOrderMarkAndCrlf) {
  std::string text = "\xEF\xBB\xBF";
  for (const char c : std::string(k_least))
    text += c == '\n' ? std::string("\r\n") : std::string(1, c);
  EXPECT_DOUBLE_EQ(read_text(text).heel.indicated_l, 5.0);
}

TEST(Read, AcceptsCommentsDottedKeysAndNoLastLineEnd) {
  const Scenario s = read_text(
      "# whole line\ntank.capacity = 60 L # rest of a line\nheel.indicated=5L\n"
      "  heel.content = 10 %\nfuel.content = 75 %\n[limits] # note\nminimum = 60 %");
  EXPECT_DOUBLE_EQ(s.tank.capacity_l, 60.0);
  EXPECT_DOUBLE_EQ(s.limits.minimum.value(), 0.6);
}

TEST(Read, MeasuredTakesUnitsFromCellOrColumn) {
  std::string asked;
  const ReadText files = [&asked](const std::string& path) {
    asked = path;
    return "station,content_percent,other\r\nA,70,1 %\r\n\r\n\"B, east\",74 %,2 %\r\n";
  };
  const Scenario by_column = read(
      {"car.ini", k_least}, {{"fuel.content", R"(measured("t.csv", "content_percent"))"}}, files);
  EXPECT_EQ(asked, "t.csv");
  EXPECT_NEAR(mean_of(by_column.fills[0].content), 0.72, 1e-12);
  const Scenario by_cell =
      read({"car.ini", k_least}, {{"fuel.content", R"(measured("t.csv", "other"))"}}, files);
  EXPECT_NEAR(mean_of(by_cell.fills[0].content), 0.015, 1e-12);
}

TEST(Read, MeasuredErrorsNameFileAndLineOfTheData) {
  const auto with = [](const std::string& text, const std::string& column) {
    return error_of(k_least, {{"fuel.content", "measured(\"t.csv\", \"" + column + "\")"}},
                    [text](const std::string&) { return text; });
  };
  EXPECT_NE(with("x_percent\n70\nabc\n", "x_percent").find("t.csv:3: "), std::string::npos);
  EXPECT_NE(with("x_percent\n70\n", "y").find("t.csv:1: no column 'y'"), std::string::npos);
  EXPECT_NE(with("x\n70\n", "x").find("t.csv:2: "), std::string::npos);
  EXPECT_NE(with("a,x_percent\n1,70\n2\n", "x_percent").find("t.csv:3: has no"), std::string::npos);
  EXPECT_NE(with("x_percent\n", "x_percent").find("t.csv: has no values"), std::string::npos);
  EXPECT_NE(with("x_percent\n7\x01\n", "x_percent").find("t.csv:2: "), std::string::npos);
}

TEST(Read, GivesLineAndKeyOfTheFaultAndOneLineOnly) {
  const std::string error = error_of(std::string(k_least) + "maximum = 50\n");
  EXPECT_TRUE(error.starts_with("car.ini:10: limits.maximum: ")) << error;
  EXPECT_NE(error.find("; "), std::string::npos) << error;
  EXPECT_EQ(error.find('\n'), std::string::npos) << error;
}

TEST(Read, NamesBothLinesOfARepeatedKey) {
  const std::string error = error_of(std::string(k_least) + "[heel]\nindicated = 6 L\n");
  EXPECT_TRUE(error.starts_with("car.ini:11: heel.indicated: ")) << error;
  EXPECT_NE(error.find("lines 4 and 11"), std::string::npos) << error;
}

TEST(Read, NamesTheNearestKnownKey) {
  EXPECT_NE(error_of("[heel]\nindicatd = 6 L\n").find("heel.indicated"), std::string::npos);
  EXPECT_NE(error_of("capacity = 6 L\n").find("tank.capacity"), std::string::npos);
  EXPECT_NE(error_of("[heal]\n").find("nearest known name is heel"), std::string::npos);
}

TEST(Read, UncertainValuesMayReachOutsideTheRange) {
  EXPECT_EQ(error_of(k_least, {{"heel.content", "normal(1 %, 5 %)"}}), "no error");
  EXPECT_EQ(error_of(k_least, {{"fuel.hose-volume", "uniform(-0.1 L, 0.5 L)"}}), "no error");
  EXPECT_NE(error_of(k_least, {{"heel.content", "normal(-1 %, 5 %)"}}), "no error");
  EXPECT_NE(error_of(k_least, {{"fuel.hose-volume", "uniform(-2 L, -1 L)"}}), "no error");
}

TEST(Keys, EveryKeyHasMeaningAndUniqueName) {
  for (const Key& key : keys()) {
    EXPECT_FALSE(key.meaning.empty()) << key.full_name();
    EXPECT_FALSE(key.default_text.empty() && key.default_note.empty()) << key.full_name();
    EXPECT_EQ(find_key(key.full_name()), &key) << key.full_name();
  }
}

}  // namespace
}  // namespace blendrisk::scenario::read_test
