#include "units/clock.hpp"

#include <gtest/gtest.h>

namespace blendrisk::units {
namespace {

TEST(ClockTime, TimesOfTheDayWithAndWithoutADate) {
  EXPECT_EQ(clock_time("18:04")->second, 65040.0);
  EXPECT_EQ(clock_time(" 0:00:01.5 ")->second, 1.5);
  EXPECT_EQ(clock_time("23:59:59")->second, 86399.0);
  EXPECT_FALSE(clock_time("18:04")->day);
  // Unix time 1000000000 is 2001-09-09T01:46:40Z (from memory): 11574 days and 6400 s.
  for (const char* text : {"2001-09-09 01:46:40", "2001-09-09T01:46:40"}) {
    const auto time = clock_time(text);
    ASSERT_TRUE(time && time->day) << text;
    EXPECT_EQ(*time->day, 11574);
    EXPECT_EQ(time->second, 6400.0);
  }
}

TEST(ClockTime, OtherTextIsNone) {
  for (const char* text :
       {"", "18", "18:4", "24:00", "18:60", "-1:00", "100:00", "1:02:03:04", ":30", "6:04 PM",
        "2001-02-29 01:00", "2001-09-09", "2001-09-09 ", "01-09-2001 01:00", "2001-09-09Z01:00",
        "2001/09/09 01:00", "2001-09-09 -1:00"}) {
    EXPECT_FALSE(clock_time(text)) << text;
  }
}

TEST(CalendarDay, IsOfADateWithOrWithoutATime) {
  for (const char* text :
       {"2001-09-09", " 2001-09-09 ", "2001-09-09 01:46", "2001-09-09T01:46:40"}) {
    EXPECT_EQ(calendar_day(text), 11574) << text;
  }
  EXPECT_EQ(calendar_day("1969-12-31"), -1);
  for (const char* text : {"", "18:04", "2001-02-29", "09.09.2001", "9/9/2001", "2001-9-9",
                           "20010909", "2001-09-09x", "2001-09-09 25:00"}) {
    EXPECT_FALSE(calendar_day(text)) << text;
  }
}

}  // namespace
}  // namespace blendrisk::units
