#include "answer/format.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace blendrisk::answer {
namespace {

constexpr double k_inf = std::numeric_limits<double>::infinity();

TEST(Format, NoNumberIsMinusZero) {
  EXPECT_EQ(fixed_text(-0.0, 1), "0.0");
  EXPECT_EQ(fixed_text(-0.04, 1), "0.0");
  EXPECT_EQ(fixed_text(-0.06, 1), "-0.1");
  EXPECT_EQ(significant_text(-0.0, 3), "0");
  EXPECT_EQ(short_text(-0.0), "0");
  EXPECT_EQ(volume_text(-0.0, UnitSystem::metric), "0 L");
  EXPECT_EQ(content_text(-0.0001, 1), "0.0 %");
}

TEST(Format, WhatIsNotFiniteIsUnknown) {
  EXPECT_EQ(fixed_text(std::nan(""), 2), "unknown");
  EXPECT_EQ(significant_text(k_inf, 2), "unknown");
  EXPECT_EQ(chance_percent(std::nan(""), 0.1), "unknown");
  EXPECT_EQ(bound_percent(k_inf), "unknown");
}

TEST(Format, SignificantDigitsKeepTheirZerosAndShortOnesDoNot) {
  EXPECT_EQ(significant_text(62.5, 4), "62.50");
  EXPECT_EQ(significant_text(9.996, 3), "10.0");
  EXPECT_EQ(significant_text(16384.0, 2), "16000");
  EXPECT_EQ(significant_text(0.0000689, 3), "6.89e-5");
  EXPECT_EQ(significant_text(-1e200, 2), "-1.0e200");
  EXPECT_EQ(short_text(62.5), "62.5");
  EXPECT_EQ(short_text(100.0), "100");
}

TEST(Format, LargestNumbersFit) {
  EXPECT_EQ(fixed_text(std::numeric_limits<double>::max(), 17).size(), 309U + 18U);
}

TEST(Format, VolumesAreInLitresOrUsGallons) {
  EXPECT_EQ(volume_text(4.5, UnitSystem::metric), "4.5 L");
  // NIST Handbook 44 appendix C, from memory: 1 US gallon = 3.785411784 L.
  EXPECT_EQ(volume_text(3.785411784, UnitSystem::us), "1 gal");
  EXPECT_EQ(volume_text(4.5, UnitSystem::us), "1.19 gal");
}

TEST(Format, ContentsAreInPercent) {
  EXPECT_EQ(content_text(0.734, 2), "73.40 %");
  EXPECT_EQ(content_text(0.625), "62.5 %");
  EXPECT_EQ(content_text(0.07), "7 %");
}

TEST(Format, ChanceHasTheDigitsThatItsErrorSupports) {
  EXPECT_EQ(chance_percent(0.114984, 0.02), "11 %");
  EXPECT_EQ(chance_percent(0.114984, 0.0002), "11.50 %");
  EXPECT_EQ(chance_percent(0.114984, 0.5), "10 %");
  EXPECT_EQ(chance_percent(0.114984, 0.0), "11.50 %");
  EXPECT_EQ(supported_digits(0.027, 0.0001), 3);
  EXPECT_EQ(supported_digits(0.027, 1e-9), 6);
  EXPECT_EQ(supported_digits(0.027, 0.9), 1);
}

// One US gallon is 3.785411784 L, an imperial one 4.54609 L (NIST Handbook 44 appendix C, from
// memory).
TEST(Format, VolumesInATextInGallons) {
  EXPECT_EQ(in_gallons("normal(55 L, 500 mL)"), "normal(14.53 gal, 0.1321 gal)");
  EXPECT_EQ(in_gallons("1 imp-gal"), "1.201 gal");
  EXPECT_EQ(in_gallons("-3.785411784L"), "-1 gal");
  EXPECT_EQ(in_gallons("2 gal"), "2 gal");
  EXPECT_EQ(in_gallons("uniform(55 litres, 60l)"), "uniform(14.53 gal, 15.85 gal)");
  for (const char* as_it_is :
       {"0.9 L/h", "7.5 L/100km", "10 km/L", "11 L / 100 km", "8 litres per 100 km", "1/8 tank",
        "0.92 /L", "75 %", "E85", "", "measured(\"a 5.csv\", \"content_l\")", "the capacity"}) {
    EXPECT_EQ(in_gallons(as_it_is), as_it_is);
  }
}

TEST(Format, SmallVolumesKeepTheirDigits) {
  EXPECT_EQ(volume_text(0.004, UnitSystem::metric), "0.004 L");
  EXPECT_EQ(dispenser_text(43.2, UnitSystem::metric), "43.20 L");
  EXPECT_EQ(dispenser_text(3.785411784, UnitSystem::us), "1.000 gal");
  EXPECT_EQ(gauge_text(6.04, UnitSystem::metric), "6.0 L");
}

TEST(Format, SmallChanceIsAlsoOneInN) {
  EXPECT_EQ(chance_percent(0.0272536, 0.0001), "2.73 % (1 in 37)");
  EXPECT_EQ(chance_percent(1e-4, 1e-6), "0.0100 % (1 in 10000)");
  EXPECT_EQ(chance_percent(6.88880624e-7, 2e-9), "6.89e-5 % (1 in 1.45 million)");
  EXPECT_EQ(chance_percent(2e-10, 1e-12), "2.00e-8 % (1 in 5 billion)");
  EXPECT_EQ(chance_percent(2e-13, 1e-15), "2.00e-11 % (1 in 5 trillion)");
  EXPECT_EQ(chance_percent(1e-200, 1e-202), "1.00e-198 % (1 in 1.00e200)");
  EXPECT_EQ(chance_percent(1e-300, 0.0), "1.000e-298 % (1 in 1.00e300)");
}

TEST(Format, OneInNIsLeftOutWhereItOverflows) {
  EXPECT_EQ(chance_percent(4e-320, 0.0).find("1 in"), std::string::npos);
}

TEST(Format, CertaintyAndItsNeighboursAreTold) {
  EXPECT_EQ(chance_percent(1.0, 0.0), "100 %");
  EXPECT_EQ(chance_percent(0.0, 0.0), "0 %");
  EXPECT_EQ(chance_percent(-0.0, 0.0), "0 %");
  EXPECT_EQ(chance_percent(0.99999, 0.0), "99.999 %");
  EXPECT_EQ(chance_percent(std::nextafter(1.0, 0.0), 0.0).find("100"), std::string::npos);
}

TEST(Format, BoundIsRoundedUpAndItsOneInNDown) {
  EXPECT_EQ(bound_percent(3e-6), "below 0.00030 % (1 in 330000)");
  EXPECT_EQ(bound_percent(3.001e-6), "below 0.00031 % (1 in 330000)");
  EXPECT_EQ(bound_percent(0.9999), "below 99.99 %");
  EXPECT_EQ(bound_percent(0.201), "below 21 %");
  EXPECT_EQ(bound_percent(1e-200), "below 1.0e-198 % (1 in 1.0e200)");
}

TEST(Format, EstimateIsItsBoundWhereOnlyThatIsKnown) {
  estimate::Estimate estimate{0.0, 0.0, {0.0, 3e-6}, true};
  EXPECT_EQ(estimate_text(estimate), bound_percent(3e-6));
  estimate.upper_bound_only = false;
  EXPECT_EQ(estimate_text(estimate), "0 %");
}

TEST(Format, IntervalHasAtLeastTwoDigits) {
  EXPECT_EQ(interval_text({0.0273, 0.0001, {0.0271, 0.0275}, false}), "2.71 to 2.75 %");
  EXPECT_EQ(interval_text({0.02, 0.05, {0.0, 0.12}, false}), "0 to 12 %");
  EXPECT_EQ(interval_text({1.0, 0.0, {0.9999, 1.0}, false}), "99.99 to 100 %");
}

}  // namespace
}  // namespace blendrisk::answer
