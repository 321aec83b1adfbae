#include "units/spelling.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <string>
#include <utility>

#include "text/error.hpp"
#include "units/clock.hpp"
#include "units/quantity.hpp"
#include "units/tank_share.hpp"

namespace blendrisk::units {
namespace {

constexpr double k_gallon = 3.785411784;  // litres, exact (NIST Handbook 44, from memory)
constexpr double k_mile = 1.609344;       // kilometres, exact (the same)

struct Accepted {
  const char* text;
  Dimension dimension;
  double value;
};

constexpr std::array k_accepted{
    Accepted{"6 l", Dimension::volume, 6.0},
    Accepted{"6L", Dimension::volume, 6.0},
    Accepted{"6 litres", Dimension::volume, 6.0},
    Accepted{"1 Litre", Dimension::volume, 1.0},
    Accepted{"6 liters", Dimension::volume, 6.0},
    Accepted{"250 ml", Dimension::volume, 0.25},
    Accepted{"250 mL", Dimension::volume, 0.25},
    Accepted{"250 Millilitres", Dimension::volume, 0.25},
    Accepted{"1.5 gallons", Dimension::volume, 1.5 * k_gallon},
    Accepted{"1.5 Gal", Dimension::volume, 1.5 * k_gallon},
    Accepted{"1.5 US gallons", Dimension::volume, 1.5 * k_gallon},
    Accepted{"2 Imp-Gal", Dimension::volume, 2.0 * 4.54609},
    Accepted{"2 imperial gallons", Dimension::volume, 2.0 * 4.54609},
    Accepted{"60 miles", Dimension::distance, 60.0 * k_mile},
    Accepted{"60 MI", Dimension::distance, 60.0 * k_mile},
    Accepted{"60 KM", Dimension::distance, 60.0},
    Accepted{"60 kilometres", Dimension::distance, 60.0},
    Accepted{"5 minutes", Dimension::time, 300.0},
    Accepted{"5 MIN", Dimension::time, 300.0},
    Accepted{"2 S", Dimension::time, 2.0},
    Accepted{"90 seconds", Dimension::time, 90.0},
    Accepted{"1.5 hours", Dimension::time, 5400.0},
    Accepted{"11 L/100 km", Dimension::economy, 0.11},
    Accepted{"11 l/100km", Dimension::economy, 0.11},
    Accepted{"11 litres per 100 km", Dimension::economy, 0.11},
    Accepted{"11 L / 100 KM", Dimension::economy, 0.11},
    Accepted{"20 km/l", Dimension::economy, 0.05},
    Accepted{"25 MPG", Dimension::economy, k_gallon / k_mile / 25.0},
    Accepted{"25 miles per gallon", Dimension::economy, k_gallon / k_mile / 25.0},
    Accepted{"3.6 l/h", Dimension::rate, 0.001},
    Accepted{"3.6 litres per hour", Dimension::rate, 0.001},
    Accepted{"60 ml/min", Dimension::rate, 0.001},
    Accepted{"1 gallon/hour", Dimension::rate, k_gallon / 3600.0},
    Accepted{"78 percent", Dimension::content, 0.78},
    Accepted{"78 per cent", Dimension::content, 0.78},
    Accepted{"0.98 EUR/L", Dimension::price, 0.98},
    Accepted{"0.98 EUR / litre", Dimension::price, 0.98},
    Accepted{"0.98 \u20ac/l", Dimension::price, 0.98},
    Accepted{"0.98 per litre", Dimension::price, 0.98},
    Accepted{"$3.785411784/gal", Dimension::price, 1.0},
    Accepted{"3.785411784 dollars per gallon", Dimension::price, 1.0},
    Accepted{"1 in 100", Dimension::fraction, 0.01},
    Accepted{"1 IN 8", Dimension::fraction, 0.125},
    Accepted{"3 in 4", Dimension::fraction, 0.75},
};

struct Refused {
  const char* text;
  Dimension dimension;
  const char* wrong;
  const char* accepted;
};

constexpr const char* k_volumes = "a volume such as 4 L (L, mL, gal, imp-gal)";
constexpr const char* k_times = "a time such as 30 s (s, min, h)";
constexpr const char* k_fractions = "a fraction such as 1 % or 1 in 100";

constexpr std::array k_refused{
    Refused{"6,5 L", Dimension::volume, R"("6,5 L" has a decimal comma)", "write 6.5 L"},
    Refused{"-0,125 L", Dimension::volume, R"("-0,125 L" has a decimal comma)", "write -0.125 L"},
    Refused{"1.234,5 L", Dimension::volume, R"("1.234,5 L" has a decimal comma)", "write 1234.5 L"},
    Refused{"1,000 L", Dimension::volume, R"("1,000 L" has a comma in its number)",
            "write 1000 L or 1.000 L, whichever is meant"},
    Refused{"1,234.5 L", Dimension::volume, R"("1,234.5 L" has a decimal comma)", "write 1234.5 L"},
    Refused{"1,2,3 L", Dimension::volume, R"("1,2,3 L" has commas between its digits)",
            "a number with a decimal point and no other mark"},
    Refused{"11,2 L/100 km", Dimension::economy, R"("11,2 L/100 km" has a decimal comma)",
            "write 11.2 L/100 km"},
    Refused{"0,98 EUR/L", Dimension::price, R"("0,98 EUR/L" has a decimal comma)",
            "write 0.98 EUR/L"},
    Refused{"0,98 \u20ac/L", Dimension::price, "\"0,98 \u20ac/L\" has a decimal comma",
            "write 0.98"},
    Refused{"1 in 1,5", Dimension::fraction, R"("1 in 1,5" has a decimal comma)", "write 1.5"},
    Refused{"1 in 0", Dimension::fraction, R"("1 in 0" is no chance)", k_fractions},
    Refused{"1 in 100 %", Dimension::fraction, R"("1 in 100 %" is no chance)", k_fractions},
    Refused{"6 ML", Dimension::volume,
            R"("6 ML" has the unit "ML", which may mean millions of litres)",
            "mL for thousandths of a litre"},
    Refused{"6 Ml/min", Dimension::rate,
            R"("6 Ml/min" has the unit "Ml/min", which may mean millions of litres)",
            "mL for thousandths of a litre"},
    Refused{"5 m", Dimension::time, R"("5 m" has the unit "m", which is no unit of time)", k_times},
    Refused{"8:30", Dimension::time, R"("8:30" has the unit ":30", which is no unit of time)",
            k_times},
    Refused{"1/8 tank", Dimension::volume,
            R"("1/8 tank" has the unit "/8 tank", which is no unit of volume)", k_volumes},
    Refused{"6 litres of it", Dimension::volume,
            R"("6 litres of it" has the unit "litres of it", which is no unit of volume)",
            k_volumes},
    Refused{"0.98 EUR", Dimension::price,
            R"("0.98 EUR" has the unit "EUR", which is no unit of price)",
            "a price such as 0.92 /L (/L, /gal)"},
    Refused{"0.98 L/L", Dimension::price,
            R"("0.98 L/L" has the unit "L/L", which is no unit of price)",
            "a price such as 0.92 /L (/L, /gal)"},
    Refused{"E85", Dimension::content, R"("E85" names a fuel, not a content)",
            "a content such as 78 %"},
};

TEST(Spelling, WhatIsPlainIsRead) {
  for (const Accepted& each : k_accepted) {
    try {
      EXPECT_NEAR(parse_quantity(each.text, each.dimension), each.value,
                  4e-16 * std::abs(each.value))
          << each.text;
    } catch (const text::Error& error) {
      ADD_FAILURE() << error.what();
    }
  }
}

TEST(Spelling, WhatIsNotIsRefusedWithWhatToWrite) {
  for (const Refused& each : k_refused) {
    try {
      parse_quantity(each.text, each.dimension);
      ADD_FAILURE() << each.text << " was accepted";
    } catch (const text::Error& error) {
      EXPECT_EQ(error.wrong, each.wrong);
      EXPECT_EQ(error.accepted, each.accepted);
    }
  }
}

TEST(Spelling, SharesOfTheTank) {
  const std::array<std::pair<const char*, double>, 9> shares{{{"1/8 tank", 0.125},
                                                              {"3/8 of the tank", 0.375},
                                                              {"3 / 8 of a Tank", 0.375},
                                                              {"12 % of tank", 0.12},
                                                              {"12% tank", 0.12},
                                                              {"12 percent of the tank", 0.12},
                                                              {"0.25 tank", 0.25},
                                                              {"9/8 tank", 1.125},
                                                              {"1 of tank", 1.0}}};
  for (const auto& [text, share] : shares) {
    EXPECT_DOUBLE_EQ(tank_share(text).value_or(-1.0), share) << text;
  }
  for (const char* text : {"", "tank", "1/8", "12 %", "1/8 l tank", "1/0 tank", "1,5/8 tank",
                           "1/8 the tank", "nan tank", "of the tank", "1/8/8 tank"}) {
    EXPECT_FALSE(tank_share(text)) << text;
  }
}

TEST(Spelling, TimesOfAClock) {
  const std::array<std::pair<const char*, double>, 7> times{{{"8:30", 510.0},
                                                             {"0:07.25", 7.25},
                                                             {"75:00", 4500.0},
                                                             {"1:02:03", 3723.0},
                                                             {"00:08:30.5", 510.5},
                                                             {" 8:30 ", 510.0},
                                                             {"-0:30", -30.0}}};
  for (const auto& [text, seconds] : times) {
    EXPECT_DOUBLE_EQ(clock_seconds(text).value_or(-1.0), seconds) << text;
  }
  for (const char* text : {"", "8", ":30", "8:", "8:5", "8:60", "1:60:00", "1:2:03", "1:02:03:04",
                           "8:3x", "8:30.", "8.5:30", "8:30 min", "+8:30", "--8:30"}) {
    EXPECT_FALSE(clock_seconds(text)) << text;
  }
}

}  // namespace
}  // namespace blendrisk::units
