#include "units/quantity.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "text/error.hpp"
#include "units/unit_table.hpp"

namespace blendrisk::units {
namespace {

struct Case {
  const char* text;
  Dimension dimension;
  double value;
};

TEST(Quantity, EveryUnitHasItsExactFactor) {
  // NIST SP 811 appendix B and NIST Handbook 44 appendix C, from memory: US gallon 3.785411784 L,
  // imperial gallon 4.54609 L, mile 1.609344 km, all exact.
  const std::array cases{
      Case{"4 L", Dimension::volume, 4.0},
      Case{"1.5gal", Dimension::volume, 1.5 * 3.785411784},
      Case{" 250\tmL ", Dimension::volume, 0.25},
      Case{"2 imp-gal", Dimension::volume, 9.09218},
      Case{"78 %", Dimension::content, 0.78},
      Case{"-1.5%", Dimension::fraction, -0.015},
      Case{"3.6 L/h", Dimension::rate, 0.001},
      Case{"60 mL/min", Dimension::rate, 0.001},
      Case{"1 gal/h", Dimension::rate, 3.785411784 / 3600.0},
      Case{"30 s", Dimension::time, 30.0},
      Case{"4 min", Dimension::time, 240.0},
      Case{"2 h", Dimension::time, 7200.0},
      Case{"120 km", Dimension::distance, 120.0},
      Case{"100 mi", Dimension::distance, 160.9344},
      Case{"7.5 L/100km", Dimension::economy, 0.075},
      Case{"20 km/L", Dimension::economy, 0.05},
      Case{"25 mpg", Dimension::economy, 3.785411784 / 1.609344 / 25.0},
      Case{"0.92 /L", Dimension::price, 0.92},
      Case{"3.785411784/gal", Dimension::price, 1.0},
      Case{"+3", Dimension::number, 3.0},
      Case{"2.5e1", Dimension::number, 25.0},
  };
  for (const Case& c : cases) {
    EXPECT_NEAR(parse_quantity(c.text, c.dimension), c.value, 4e-16 * std::abs(c.value)) << c.text;
  }
}

TEST(Quantity, PercentIsTheDoubleNextToTheDecimalFraction) {
  EXPECT_EQ(parse_quantity("78 %", Dimension::content), 0.78);
  EXPECT_EQ(parse_quantity("57 %", Dimension::content), 0.57);
  EXPECT_EQ(parse_quantity("29 %", Dimension::content), 0.29);
}

TEST(Quantity, RefusesWhatIsNoQuantityOfTheKind) {
  const std::array cases{
      Case{"", Dimension::volume, 0},        Case{"  ", Dimension::volume, 0},
      Case{"4", Dimension::volume, 0},       Case{"L", Dimension::volume, 0},
      Case{"4 kg", Dimension::volume, 0},    Case{"4 L L", Dimension::volume, 0},
      Case{"4,5 L", Dimension::volume, 0},   Case{"4 %", Dimension::volume, 0},
      Case{"nan L", Dimension::volume, 0},   Case{"inf L", Dimension::volume, 0},
      Case{"1e999 L", Dimension::volume, 0}, Case{"1e308 gal", Dimension::volume, 0},
      Case{"0x10 L", Dimension::volume, 0},  Case{"+-4 L", Dimension::volume, 0},
      Case{"E", Dimension::content, 0},      Case{"E85 %", Dimension::content, 0},
      Case{"85", Dimension::content, 0},     Case{"E85", Dimension::fraction, 0},
      Case{"E85", Dimension::content, 0},    Case{"e-85", Dimension::content, 0},
      Case{"E85", Dimension::volume, 0},     Case{"0 km/L", Dimension::economy, 0},
      Case{"0 mpg", Dimension::economy, 0},  Case{"3 L", Dimension::number, 0},
      Case{"4 min", Dimension::distance, 0}, Case{"0.92 L", Dimension::price, 0},
  };
  for (const Case& c : cases) {
    EXPECT_THROW(parse_quantity(c.text, c.dimension), text::Error) << c.text;
  }
}

TEST(Quantity, ErrorSaysWhatIsWrongAndWhatIsAccepted) {
  try {
    parse_quantity("4 kg", Dimension::volume);
    FAIL() << "accepted";
  } catch (const text::Error& error) {
    EXPECT_EQ(error.wrong, "\"4 kg\" has the unit \"kg\", which is no unit of volume");
    EXPECT_EQ(error.accepted, "a volume such as 4 L (L, mL, gal, imp-gal)");
  }
  try {
    parse_quantity("4", Dimension::rate);
    FAIL() << "accepted";
  } catch (const text::Error& error) {
    EXPECT_EQ(error.wrong, "\"4\" has no unit");
  }
}

TEST(Quantity, ErrorsAreShortAndCutBetweenCharacters) {
  std::string text;
  for (int i = 0; i < 100; ++i) text += "\u20ac";  // three bytes each, 60 is between two
  for (const std::string& front : {std::string(), std::string("1"), std::string("12")}) {
    try {
      parse_quantity(front + text, Dimension::volume);
      ADD_FAILURE() << "accepted";
    } catch (const text::Error& error) {
      const std::string what = error.wrong;
      EXPECT_LT(what.size(), 250U);
      EXPECT_NE(what.find("\u20ac...\""), std::string::npos) << what;
    }
  }
}

TEST(Quantity, NamesAndUnitsAreThoseOfTheDimension) {
  EXPECT_EQ(name(Dimension::volume), "volume");
  EXPECT_EQ(name(Dimension::number), "number");
  EXPECT_EQ(units_of(Dimension::time).front().name, "s");
  EXPECT_TRUE(units_of(Dimension::number).empty());
  EXPECT_EQ(accepted_text(Dimension::content), "a content such as 78 %");
}

TEST(Quantity, EveryUnitNameParses) {
  for (int i = 0; i <= static_cast<int>(Dimension::number); ++i) {
    const auto dimension = static_cast<Dimension>(i);
    for (const Unit& unit : units_of(dimension)) {
      EXPECT_GT(parse_quantity("2 " + std::string(unit.name), dimension), 0.0) << unit.name;
    }
  }
}

}  // namespace
}  // namespace blendrisk::units
