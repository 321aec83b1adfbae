#include "scenario/log_time.hpp"

#include <gtest/gtest.h>

#include "text/error.hpp"

namespace blendrisk::scenario {
namespace {

TEST(LogClock, CountsFromItsFirstRowAndPastMidnight) {
  LogClock clock;
  EXPECT_EQ(clock.seconds("23:59:00"), 0.0);
  EXPECT_EQ(clock.zero(), "23:59:00");
  EXPECT_EQ(clock.seconds("23:59:30"), 30.0);
  EXPECT_EQ(clock.seconds("0:01"), 120.0);
  EXPECT_EQ(clock.seconds("0:00"), 60.0);  // goes back, and is no midnight
  EXPECT_EQ(clock.seconds("13:00"), 46860.0);
  EXPECT_EQ(clock.seconds("0:30"), 88260.0);  // the second midnight
}

TEST(LogClock, DatedTimesGoBackWithoutAMidnight) {
  LogClock clock;
  EXPECT_EQ(clock.seconds("2026-03-01 23:00"), 0.0);
  EXPECT_EQ(clock.seconds("2026-03-02 01:00"), 7200.0);
  EXPECT_EQ(clock.seconds("2026-03-01 01:00"), -79200.0);
}

TEST(LogClock, TimeZeroIsAsStarted) {
  const auto first = [](const char* started, const char* cell) {
    LogClock clock(units::clock_time(started));
    const double seconds = clock.seconds(cell);
    EXPECT_EQ(clock.zero(), "");
    return seconds;
  };
  EXPECT_EQ(first("18:04:00", "18:05"), 60.0);
  EXPECT_EQ(first("18:04:00", "18:03"), -60.0);
  EXPECT_EQ(first("23:59:00", "0:01"), 120.0);
  EXPECT_EQ(first("0:01", "23:59:00"), -120.0);
  EXPECT_EQ(first("23:59:00", "2026-03-01 00:01"), 120.0);
  EXPECT_EQ(first("2026-02-28 23:59", "2026-03-01 00:01"), 120.0);
  LogClock clock(units::clock_time("23:59"));
  EXPECT_EQ(clock.seconds("0:01"), 120.0);
  EXPECT_EQ(clock.seconds("0:02"), 180.0);
}

TEST(LogClock, WhatIsNoTimeAndDatesInSomeRowsAreRefused) {
  LogClock clock;
  EXPECT_THROW(clock.seconds("25:00"), text::Error);
  clock.seconds("18:00");
  EXPECT_THROW(clock.seconds("2026-03-01 18:01"), text::Error);
  LogClock dated;
  dated.seconds("2026-03-01 18:01");
  EXPECT_THROW(dated.seconds("18:02"), text::Error);
  LogClock started(units::clock_time("2026-03-01 18:01"));
  EXPECT_THROW(started.seconds("18:02"), text::Error);
}

TEST(BurnedByRate, IsTheTrapezoidalRuleFromTimeZeroOn) {
  BurnedByRate burned;
  EXPECT_EQ(burned.take(-10.0, 9.0), 0.0);
  EXPECT_EQ(burned.take(-2.0, 1.0), 0.0);
  EXPECT_EQ(burned.take(4.0, 3.0), 8.0);
  EXPECT_EQ(burned.take(4.0, 5.0), 8.0);
  EXPECT_EQ(burned.take(6.0, 1.0), 14.0);
  BurnedByRate late;
  EXPECT_EQ(late.take(5.0, 2.0), 10.0);  // the first rate is held
}

TEST(BurnedByRate, RatesOutOfRangeAreRefused) {
  EXPECT_NO_THROW(require_rate(0.0));
  EXPECT_NO_THROW(require_rate(1.0));
  EXPECT_THROW(require_rate(-1e-9), text::Error);
  EXPECT_THROW(require_rate(1.001), text::Error);
}

}  // namespace
}  // namespace blendrisk::scenario
