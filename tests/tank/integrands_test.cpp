#include "tank/integrands.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::tank {
namespace {

using testing::example;
using testing::scenario_of;

// The same for running dry: the first of two drives is a t of 2 degrees of freedom, centre 20.167 L
// and scale 0.0882 L; more than 47 L of it has the chance (1 − t/√(2 + t²))/2.
TEST(Chance, RunningDryByAHeavyTailIsSeen) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 50 L\npickup-floor = 3 L\n"
      "[heel]\nindicated = 10 L\ngauge-error = normal(0 L, 0.3 L)\ncontent = 10 %\n"
      "[fuel]\ncontent = uniform(70 %, 80 %)\n"
      "[fill-2]\ncontent = uniform(70 %, 80 %)\nburn-first = tests(20 L, 20.3 L, 20.2 L)\n"
      "[fill-3]\ncontent = uniform(70 %, 80 %)\nburn-first = normal(30 L, 1 L)\n"
      "[limits]\nminimum = 50 %\n");
  const double center = 60.5 / 3.0;
  const double scale = std::sqrt(
      (std::pow(20.0 - center, 2) + std::pow(20.3 - center, 2) + std::pow(20.2 - center, 2)) / 2.0 /
      3.0);
  const double t = (47.0 - center) / scale;
  const double known = 1.0 / (std::sqrt(2.0 + t * t) * (std::sqrt(2.0 + t * t) + t));
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const estimate::Estimate dry = estimate_chance(scenario, {.seed = seed}).run_dry;
    EXPECT_NEAR(dry.chance, known, 5.0 * dry.standard_error) << seed;
    EXPECT_LT(dry.standard_error, 0.02 * known);
  }
}

// An amount that just fits does not click off: 10 L and 40.2 L in 50.2 L, which sums do not hit.
TEST(Chance, AnAmountThatJustFitsDoesNotClickOff) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 50.3 L\n[heel]\nindicated = 10.1 L\ncontent = 10 %\n"
      "[fuel]\ncontent = uniform(70 %, 80 %)\n[fill]\namount = 40.2 L\n[limits]\nminimum = 50 %\n");
  EXPECT_EQ(estimate_chance(scenario, {}).clicked_off_early->chance, 0.0);
}

TEST(Chance, RunningDryHasItsOwnVerdict) {
  EXPECT_TRUE(estimate_chance(example("sedan.ini"), {}).dry_met);
  EXPECT_FALSE(estimate_chance(example("sedan.ini", {{"tank.pickup-floor", "8 L"}}), {}).dry_met);
}

// Runs dry: gauge error below 2 − 6 L, or 1.5 − 6 L for the sedan's floor: N(0, 1 L).
TEST(Chance, RunDryInClosedForm) {
  const estimate::ChanceResult result = estimate_chance(example("sedan.ini"), {});
  EXPECT_NEAR(result.run_dry.chance / (0.5 * std::erfc(4.5 / std::sqrt(2.0))), 1.0, 1e-12);
  EXPECT_EQ(result.run_dry.standard_error, 0.0);
}

// Two fills: H2 = 60 − burned below 3 L when more than 57 L are burned, N(55, 1).
TEST(Chance, RunDryBeforeALaterFill) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\npickup-floor = 3 L\n"
      "[heel]\nindicated = 10 L\ncontent = uniform(5 %, 10 %)\ngauge-error = normal(0 L, 2 L)\n"
      "[fuel]\ncontent = uniform(68 %, 83 %)\n"
      "[fill-2]\ncontent = uniform(68 %, 83 %)\nburn-first = normal(55 L, 1 L)\n"
      "[limits]\nminimum = 60 %\n");
  const double first = 0.5 * std::erfc(3.5 / std::sqrt(2.0));
  const double later = 0.5 * std::erfc(2.0 / std::sqrt(2.0));
  const estimate::Estimate dry = estimate_chance(scenario, {}).run_dry;
  EXPECT_NEAR(dry.chance, first + (1.0 - first) * later, 4.0 * dry.standard_error + 1e-12);
  EXPECT_LE(dry.standard_error, 0.01 * dry.chance);
}

// Metered 45 L into 60 L: clicks off when 10 + N(0, 1.5) exceeds 15 L (exact meter), and with
// N(60, 1) the difference has standard deviation sqrt(1.5² + 1).
TEST(Chance, ClicksOffEarly) {
  const std::string text =
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 10 L\ncontent = uniform(5 %, 10 %)\n"
      "gauge-error = normal(0 L, 1.5 L)\n"
      "[fuel]\ncontent = uniform(68 %, 83 %)\n[fill]\namount = 45 L\n[limits]\nminimum = 40 %\n";
  const auto exact = estimate_chance(scenario_of(text), {}).clicked_off_early;
  ASSERT_TRUE(exact);
  EXPECT_NEAR(exact->chance / (0.5 * std::erfc(5.0 / 1.5 / std::sqrt(2.0))), 1.0, 1e-8);
  const auto drawn =
      estimate_chance(scenario_of(text, {{"tank.click-off", "normal(60 L, 1 L)"}}), {})
          .clicked_off_early;
  EXPECT_NEAR(drawn->chance, 0.5 * std::erfc(5.0 / std::sqrt(3.25) / std::sqrt(2.0)),
              4.0 * drawn->standard_error);
  EXPECT_FALSE(estimate_chance(example("sedan.ini"), {}).clicked_off_early);
}

}  // namespace
}  // namespace blendrisk::tank
