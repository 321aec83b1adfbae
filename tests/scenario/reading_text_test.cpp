#include "scenario/reading_text.hpp"

#include <gtest/gtest.h>

#include <functional>

#include "text/error.hpp"

namespace blendrisk::scenario {
namespace {

std::string refused(const std::function<void()>& read) {
  try {
    read();
  } catch (const text::Error& error) {
    return error.what();
  }
  return "not refused";
}

TEST(ReadingText, VolumeOrTimeAndContent) {
  const LoggedReading burned = parse_reading(" 300 mL :57% ");
  EXPECT_FALSE(burned.by_time);
  EXPECT_DOUBLE_EQ(burned.at, 0.3);
  EXPECT_DOUBLE_EQ(burned.content, 0.57);
  const LoggedReading timed = parse_reading("4 min: 60 %");
  EXPECT_TRUE(timed.by_time);
  EXPECT_DOUBLE_EQ(timed.at, 240.0);
  EXPECT_DOUBLE_EQ(timed.content, 0.60);
}

TEST(ReadingText, WhatIsNoReadingIsRefusedWithWhatIsAccepted) {
  for (const char* text :
       {"", "57 %", "0.3: 57 %", "0.3 L: 57 L", ": 57 %", "4 min:", "0.3 L: 57 %: 3", "4 min: E60",
        "-1 L: 50 %", "2000 L: 50 %", "3 L: 300 %"}) {
    const std::string what = refused([&] { parse_reading(text); });
    EXPECT_NE(what, "not refused") << text;
    EXPECT_NE(what.find(';'), std::string::npos) << what;
  }
}

struct Typed {
  const char* text;
  bool by_time;
  double at;
  double content;
};

TEST(ReadingText, WhatIsPlainIsRead) {
  for (const Typed& each :
       {Typed{"8:30: 61 %", true, 510.0, 0.61}, Typed{"8:30:61%", true, 510.0, 0.61},
        Typed{"8:30 61 %", true, 510.0, 0.61}, Typed{"8:30: 61", true, 510.0, 0.61},
        Typed{"1:02:03: 61 %", true, 3723.0, 0.61}, Typed{"6 min 48 %", true, 360.0, 0.48},
        Typed{"6min 48%", true, 360.0, 0.48}, Typed{"7 min: 55", true, 420.0, 0.55},
        Typed{"7 Minutes: 55.5", true, 420.0, 0.555}, Typed{"7 min 0", true, 420.0, 0.0},
        Typed{"0.3 l: 57 percent", false, 0.3, 0.57}, Typed{"0.3 litres 57", false, 0.3, 0.57},
        Typed{"300ml:57", false, 0.3, 0.57}, Typed{"7 min: 0.57 %", true, 420.0, 0.0057}}) {
    try {
      const LoggedReading reading = parse_reading(each.text);
      EXPECT_EQ(reading.by_time, each.by_time) << each.text;
      EXPECT_DOUBLE_EQ(reading.at, each.at) << each.text;
      EXPECT_DOUBLE_EQ(reading.content, each.content) << each.text;
    } catch (const text::Error& error) {
      ADD_FAILURE() << error.what();
    }
  }
}

TEST(ReadingText, WhatIsNotIsRefusedWithWhatToWrite) {
  const std::pair<const char*, const char*> texts[] = {
      {"7 min: 57,5 %", "'7 min: 57,5 %': '57,5 %' has a decimal comma; write 57.5 %"},
      {"0,3 L: 57 %", "'0,3 L: 57 %': '0,3 L' has a decimal comma; write 0.3 L"},
      {"0,3 L 57", "'0,3 L 57': '0,3 L 57' has a decimal comma; write 0.3 L 57"},
      {"7 min: 0.57",
       "'7 min: 0.57': a reading of '0.57' may be a share or a percent; write its %"},
      {"7 min: E60", "'7 min: E60': 'E60' names a fuel, not a content; "},
      {"8:30:15", "'8:30:15': is no reading; "},
      {"8:30", "'8:30': is no reading; "},
      {"57", "'57': is no reading; "},
      {"7 min: 57 L", "'7 min: 57 L': ends with no content; "},
      {"7: 57 %", "'7: 57 %': begins with neither a volume nor a time; "},
  };
  for (const auto& [text, what] : texts) {
    const std::string said = refused([&, text = text] { parse_reading(text); });
    EXPECT_TRUE(said.starts_with(what)) << said;
  }
}

TEST(ReadingText, LogByVolumeOrTime) {
  const auto burned =
      read_readings("log.csv", "burned_l,reading_percent\n0,30\n0.1,31.5\n0.1,32\n");
  ASSERT_EQ(burned.size(), 3U);
  EXPECT_FALSE(burned[1].by_time);
  EXPECT_DOUBLE_EQ(burned[1].at, 0.1);
  EXPECT_DOUBLE_EQ(burned[1].content, 0.315);
  const auto timed =
      read_readings("log.csv", "note,reading_percent,time_s\nstart,30,0\n,31 %,2 min\n");
  ASSERT_EQ(timed.size(), 2U);
  EXPECT_TRUE(timed[1].by_time);
  EXPECT_DOUBLE_EQ(timed[1].at, 120.0);
}

TEST(ReadingText, LogsOfSpreadsheetsAndClocks) {
  const auto log =
      read_readings("log.csv", "time;reading_percent\n8:30;61.5\n00:09:15;62 %\n10 min;63\n");
  ASSERT_EQ(log.size(), 3U);
  EXPECT_TRUE(log[0].by_time);
  EXPECT_DOUBLE_EQ(log[0].at, 510.0);
  EXPECT_DOUBLE_EQ(log[0].content, 0.615);
  EXPECT_DOUBLE_EQ(log[1].at, 555.0);
  EXPECT_DOUBLE_EQ(log[2].at, 600.0);
  EXPECT_DOUBLE_EQ(read_readings("log.csv", "time_s,reading_percent\n8:30,61\n")[0].at, 510.0);
}

TEST(ReadingText, LoggedRatesMakeBurnedLitresOfTimes) {
  AboutLog about;
  const auto log = read_readings(
      "log.csv", "clock,reading_percent,fuel_rate_l_per_h,gear\n23:59,30,3.6,n\n0:00,31,7.2,n\n",
      units::clock_time("23:58"), &about);
  ASSERT_EQ(log.size(), 2U);
  for (const LoggedReading& reading : log) EXPECT_FALSE(reading.by_time);
  EXPECT_DOUBLE_EQ(log[0].at, 0.06);
  EXPECT_DOUBLE_EQ(log[1].at, 0.15);
  EXPECT_EQ(about.unread, std::vector<std::string>{"gear"});
  EXPECT_EQ(about.clock_zero, "");
  // What was burned is taken as it is.
  const auto both = read_readings(
      "log.csv", "burned_l,fuel_rate_l_per_h,reading_percent\n0.2,9,30\n0.3,9,30\n", {}, &about);
  EXPECT_DOUBLE_EQ(both[1].at, 0.3);
  EXPECT_EQ(about.unread, std::vector<std::string>{"fuel_rate_l_per_h"});
  const auto timed =
      read_readings("log.csv", "clock,reading_percent\n18:04,30\n18:05:30,31\n", {}, &about);
  EXPECT_TRUE(timed[1].by_time);
  EXPECT_DOUBLE_EQ(timed[1].at, 90.0);
  EXPECT_EQ(about.clock_zero, "18:04");
}

TEST(ReadingText, RowsThatAreNotAcceptedBurnNothing) {
  ReadingLines lines;
  LoggedReading reading;
  lines.take("time_s,reading_percent,fuel_rate_l_per_h", reading);
  lines.take("100,30,3.6", reading);
  EXPECT_DOUBLE_EQ(reading.at, 0.1);
  lines.accept();
  lines.take("900,31,36", reading);  // not accepted
  lines.take("200,31,7.2", reading);
  EXPECT_DOUBLE_EQ(reading.at, 0.25);
  lines.accept();
  EXPECT_EQ(refused([&] { lines.take("150,31,7.2", reading); }),
            "'150,31,7.2': the time goes back; rows in the order they were read are accepted");
  EXPECT_EQ(refused([&] { lines.take("250,31,7200", reading); }),
            "'250,31,7200': fuel_rate_l_per_h: is out of range; 0 L/h to 3600 L/h");
  lines.take("300,31,7.2", reading);
  EXPECT_DOUBLE_EQ(reading.at, 0.45);
}

TEST(ReadingText, BadLogsNameFileAndLine) {
  const std::pair<const char*, const char*> logs[] = {
      {"", "log.csv"},
      {"burned_l,reading_percent\n", "log.csv"},
      {"burned_l\n0.1\n", "log.csv:1: no column"},
      {"reading_percent\n30\n", "log.csv:1: has neither"},
      {"burned_l,time_s,reading_percent\n0,0,30\n", "log.csv:1: has both"},
      {"time_s,reading_percent\n0,30\n5,x\n", "log.csv:3"},
      {"time_s,reading_percent\n0,30\n5\n", "log.csv:3"},
      {"time_s,reading_percent\n0,30\n9,31\n8,32\n", "log.csv:4: the time goes back"},
      {"burned_l,reading_percent\n0.2,30\n0.1,31\n", "log.csv:3: what was burned goes back"},
      {"time_s,reading_percent\n-1,30\n", "log.csv:2: the time is out of range"},
      {"time_s,reading_percent\n0,200\n", "log.csv:2: the reading is out of range"},
      {"time_s,reading_percent\n0,30 L\n", "log.csv:2"},
      {"time_s,reading_percent\nnan,30\n", "log.csv:2"},
      {"burned_l;reading_percent\n0,5;30\n", "log.csv:2: \"0,5\" has a decimal comma; write 0.5"},
      {"burned_l,reading_percent\n0,5,30\n", "log.csv:2: has 3 cells under 2 names; "},
      {"time,reading_percent\n9,30\n", "log.csv:2: \"9\" has no unit"},
      {"time,burned_l,reading_percent\n0:09,0,30\n", "log.csv:1: has both"},
      {"time,clock,reading_percent\n0:09,18:04,30\n", "log.csv:1: has both columns clock"},
      {"clock,reading_percent\n18:04,30\n18.05,30\n", "log.csv:3: clock: '18.05' is no time"},
      {"clock,reading_percent\n18:04,30\n18:06,30\n18:05,30\n", "log.csv:4: the time goes back"},
      {"time_s,reading_percent,fuel_rate_l_per_h\n5,30,1\n4,30,1\n",
       "log.csv:3: the time goes back"},
      {"time_s,reading_percent,fuel_rate_l_per_h\n5,30,-1\n",
       "log.csv:2: fuel_rate_l_per_h: is out of range; 0 L/h to 3600 L/h"},
  };
  for (const auto& [text, where] : logs) {
    const std::string what = refused([&, text = text] { read_readings("log.csv", text); });
    EXPECT_TRUE(what.starts_with(where)) << what << " for " << text;
    EXPECT_EQ(what.find('\n'), std::string::npos);
  }
}

TEST(ReadingText, LinesAreReadingsOrRowsOnceThereIsAHeader) {
  ReadingLines lines;
  LoggedReading reading;
  EXPECT_EQ(lines.take("", reading), ReadingLines::Kind::nothing);
  EXPECT_EQ(lines.take("# a comment", reading), ReadingLines::Kind::nothing);
  EXPECT_THROW(lines.take("0.3,57", reading), text::Error);
  EXPECT_EQ(lines.take("0.2 L: 44 %", reading), ReadingLines::Kind::reading);
  EXPECT_EQ(lines.take("burned_l,reading_percent\r", reading), ReadingLines::Kind::nothing);
  EXPECT_EQ(lines.take("0.3,57\r", reading), ReadingLines::Kind::reading);
  EXPECT_DOUBLE_EQ(reading.at, 0.3);
  EXPECT_THROW(lines.take("0.4,x", reading), text::Error);
  EXPECT_THROW(lines.take("0.4", reading), text::Error);
  EXPECT_THROW(lines.take(std::string(20'000, '7'), reading), text::Error);
  EXPECT_EQ(lines.take("6 min 48 %", reading), ReadingLines::Kind::reading);
  EXPECT_DOUBLE_EQ(reading.at, 360.0);
  EXPECT_EQ(lines.take("time;reading_percent", reading), ReadingLines::Kind::nothing);
  EXPECT_EQ(lines.take("8:30;57", reading), ReadingLines::Kind::reading);
  EXPECT_DOUBLE_EQ(reading.at, 510.0);
  EXPECT_EQ(lines.take("8:30: 57", reading), ReadingLines::Kind::reading);
  EXPECT_EQ(refused([&] { lines.take("9:00;57,5", reading); }),
            "\"57,5\" has a decimal comma; write 57.5");
  EXPECT_EQ(lines.take("burned_l,reading_percent", reading), ReadingLines::Kind::nothing);
  EXPECT_EQ(lines.take("0.5,58", reading), ReadingLines::Kind::reading);
  EXPECT_DOUBLE_EQ(reading.content, 0.58);
}

}  // namespace
}  // namespace blendrisk::scenario
