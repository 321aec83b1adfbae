#include "decide/heel.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "decide/feasible_set.hpp"
#include "decide/variants.hpp"
#include "tank/integrands.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::decide::heel_test {
namespace {

using testing::example;
using testing::scenario_of;

constexpr double k_step = 0.1;

HeelResult solve(const scenario::Scenario& scenario) {
  return solve_heel(scenario, {}, k_step);
}

double down(double reading) {
  return std::floor(reading / k_step) * k_step;
}

// By hand: filling a heel H of 10 % to 60 L with 80 % lands at or above 65 % while
// H <= 60 (0.80 − 0.65)/(0.80 − 0.10) = 12.857 L. With a normal gauge error of 1.5 L the reading
// has to be lower by the normal quantile: 2.3263479 · 1.5 L at a risk of 1 %. Dry: the same
// quantile above the floor of 3 L. (Quantiles here: statistics.NormalDist of Python.)
TEST(Heel, NormalGaugeErrorByHand) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\npickup-floor = 3 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
      "gauge-error = normal(0 L, 1.5 L)\n[fuel]\ncontent = 80 %\n[limits]\nminimum = 65 %\n");
  const HeelResult result = solve(scenario);
  const double most = 60.0 * 0.15 / 0.70;
  const double band = 2.3263479 * 1.5;
  EXPECT_NEAR(*result.nominal_highest_l, down(most), 1e-9);
  EXPECT_NEAR(*result.highest_indicated_l, down(most - band), 1e-9);
  EXPECT_NEAR(*result.lowest_indicated_l, std::ceil((3.0 + band) / k_step) * k_step, 1e-9);
  ASSERT_TRUE(result.window);
  EXPECT_EQ((*result.window)[0], *result.lowest_indicated_l);
  EXPECT_EQ((*result.window)[1], *result.highest_indicated_l);
  EXPECT_FALSE(result.why_none);
}

TEST(Heel, NothingUncertainIsTheArithmetic) {
  const HeelResult result = solve(scenario_of(
      "[tank]\ncapacity = 60 L\npickup-floor = 3 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
      "[fuel]\ncontent = 80 %\n[limits]\nminimum = 65 %\n"));
  EXPECT_EQ(*result.highest_indicated_l, *result.nominal_highest_l);
  EXPECT_NEAR(*result.highest_indicated_l, 12.8, 1e-9);
  EXPECT_NEAR(*result.lowest_indicated_l, 3.0, 1e-9);
}

// From the highest reading the risk is met and a step above it not; from the lowest the dry risk is
// met and a step below it not.
TEST(Heel, EndsOfTheWindowAreWhereTheRisksAre) {
  for (const char* name : {"wagon-reading.ini", "back-to-gasoline.ini", "hatchback-metered.ini",
                           "van-two-fills.ini"}) {
    auto scenario = example(name);
    const HeelResult result = solve(scenario);
    ASSERT_TRUE(result.window) << name;
    if (scenario.fills.size() == 1) scenario = one_fill_to_click_off(scenario);
    estimate::Options fine;
    fine.precision = 0.001;
    fine.seed = 77;
    const auto outside = [&](double reading) {
      put_indicated(scenario, reading);
      return tank::estimate_outside(scenario, fine).estimate.chance;
    };
    const double risk = scenario.limits.accepted_risk;
    EXPECT_LE(outside(*result.highest_indicated_l), 1.005 * risk) << name;
    EXPECT_GT(outside(*result.highest_indicated_l + k_step), 0.995 * risk) << name;
    const auto dry = [&](double reading) {
      put_indicated(scenario, reading);
      return tank::estimate_run_dry(scenario, fine).chance;
    };
    // Exact for one fill, to a relative 1 % for several.
    const double dry_risk = scenario.limits.dry_risk;
    EXPECT_LE(dry(*result.lowest_indicated_l), 1.01 * dry_risk) << name;
    EXPECT_GT(dry(*result.lowest_indicated_l - k_step), 0.99 * dry_risk) << name;
  }
}

// Back to gasoline with both limits: too little old fuel misses the minimum, too much the maximum.
// By hand, all exact but the gauge: 15 % <= (0.75 H + 0.05 (60 − H))/60 <= 45 %, 8.571 to 34.286 L,
// each moved inwards by the normal quantile 2.3263479 of 0.5 L (the other side is out of reach).
TEST(Heel, WindowBeginsWhereTheLimitsAllow) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\npickup-floor = 2 L\n[heel]\nindicated = 15 L\ncontent = 75 %\n"
      "gauge-error = normal(0 L, 0.5 L)\n[fuel]\ncontent = 5 %\n"
      "[limits]\nminimum = 15 %\nmaximum = 45 %\n");
  const HeelResult result = solve(scenario);
  ASSERT_TRUE(result.window);
  const double band = 2.3263479 * 0.5;
  EXPECT_NEAR((*result.window)[0], std::ceil((60.0 / 7.0 + band) / k_step) * k_step, 1e-9);
  EXPECT_NEAR((*result.window)[1], down(240.0 / 7.0 - band), 1e-9);
  EXPECT_NEAR(*result.lowest_for_limits_l, (*result.window)[0], 1e-9);
  EXPECT_LT(*result.lowest_indicated_l, 4.0);
}

// A window far narrower than the search's grid.
TEST(Heel, ANarrowWindowIsFound) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
      "gauge-error = normal(0 L, 0.02 L)\n[fuel]\ncontent = uniform(79.9 %, 80.1 %)\n"
      "[limits]\nminimum = 66 %\nmaximum = 67 %\naccepted-risk = 0.01 %\n");
  const HeelResult result = solve(scenario);
  ASSERT_TRUE(result.window);  // 0.80 − 0.70 H/60 between 66 and 67 %: 11.14 to 12.0 L
  EXPECT_NEAR((*result.window)[0], 11.3, 0.051);
  EXPECT_NEAR((*result.window)[1], 11.8, 0.051);
}

// The sedan has no window: what each risk would have to be is what the estimates say, and the plan
// with two fills does.
TEST(Heel, NoWindowSaysWhatWouldHaveToGive) {
  const auto scenario = example("sedan.ini");
  const HeelResult result = solve(scenario);
  EXPECT_FALSE(result.window);
  EXPECT_TRUE(result.why_none);
  ASSERT_TRUE(result.risk_at_lowest && result.dry_risk_at_highest && result.second_highest_l);
  scenario::Scenario at = one_fill_to_click_off(scenario);
  put_indicated(at, *result.lowest_indicated_l);
  EXPECT_NEAR(*result.risk_at_lowest, tank::estimate_outside(at, {}).estimate.chance, 1e-12);
  EXPECT_GT(*result.risk_at_lowest, 0.01);
  EXPECT_GT(*result.dry_risk_at_highest, 0.01);
  put_indicated(at, *result.lowest_indicated_l);
  const auto two = two_fills_to_click_off(at, *result.second_highest_l);
  EXPECT_LE(tank::estimate_outside(two, {}).estimate.chance, 0.0101);
}

// The old fuel alone misses: no reading, not even an empty tank, brings 50 % fuel to 60 %.
TEST(Heel, NoReadingAtAll) {
  const HeelResult result =
      solve(scenario_of("[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
                        "[fuel]\ncontent = uniform(45 %, 55 %)\n[limits]\nminimum = 60 %\n"));
  EXPECT_FALSE(result.highest_indicated_l);
  EXPECT_FALSE(result.window);
  EXPECT_EQ(*result.lowest_indicated_l, 0.0);
  EXPECT_EQ(*result.risk_at_lowest, 1.0);
}

// A tank that one fill cannot bring to the minimum and two can.
TEST(Heel, TwoFillsReachWhatOneCannot) {
  auto one = example("van-two-fills.ini");
  const double both = tank::estimate_outside(one, {}).estimate.chance;
  one.fills.resize(1);
  one.fills.front().amount_l.reset();
  EXPECT_GT(tank::estimate_outside(one, {}).estimate.chance, 0.999);
  EXPECT_LT(both, 0.01);
}

// With the few points of a table's search, and a pump law with steps that nothing lies beyond.
TEST(Heel, ReadingsOfATableHoldByAFreshEstimate) {
  for (const char* risk : {"0.05 %", "0.1 %", "0.15 %"}) {
    const auto scenario = scenario_of(
        "[tank]\ncapacity = 72 L\nclick-off = normal(72 L, 0.7 L)\n[heel]\nindicated = 3 L\n"
        "gauge-error = normal(-0.3 L, 0.25 L)\ncontent = uniform(9 %, 15 %)\n"
        "[fuel]\ncontent = measured(\"pump.csv\", \"content_percent\") in [70 %, 79 %]\n"
        "hose-volume = trapezoidal(0.28 L, 0.29 L, 1 L, 1.2 L)\nhose-content = 77 %\n"
        "[limits]\nminimum = 66.25 %\n",
        {{"limits.accepted-risk", risk}});
    const auto found = readings_within_risk(scenario, {}, k_step, SearchSize{4, 6, {}}).value;
    ASSERT_TRUE(found) << risk;
    scenario::Scenario at = scenario;
    put_indicated(at, found->highest);
    EXPECT_LE(tank::estimate_outside(at, {}).estimate.chance, scenario.limits.accepted_risk * 1.005)
        << risk << " at " << found->highest;
  }
}

// Both fills by the gauge share its error. Reading 20 L twice with exact contents of 10 and 80 %:
// the landed content falls with the error, so the chance is that of one normal variable. With e
// the error, H = 20 + e: c1 = (0.1 H + 0.8 (60 − H))/60, c = (c1 H + 0.8 (60 − H))/60
// = 0.8 − 0.7 (H/60)². Below 70 % when H > 60 sqrt(1/7) = 22.678 L. (Independent errors would need
// H1 H2 > 514.29 and give another chance.)
TEST(Heel, LaterReadingsHaveTheSameError) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 20 L\ncontent = 10 %\n"
      "gauge-error = normal(0 L, 1.5 L)\n[fuel]\ncontent = 80 %\n"
      "[fill-2]\ncontent = 80 %\nindicated = 20 L\n[limits]\nminimum = 70 %\n");
  const double wanted = 0.5 * std::erfc((60.0 / std::sqrt(7.0) - 20.0) / 1.5 / std::sqrt(2.0));
  estimate::Options options;
  options.cases = 1'000'000;
  const auto outside = tank::estimate_outside(scenario, options).estimate;
  EXPECT_NEAR(outside.chance, wanted, 5.0 * outside.standard_error);
}

// With several fills the tank may run dry on the way to a later one.
TEST(Heel, LowestReadingKeepsEveryFillWithinTheDryRisk) {
  const scenario::Scenario van = example("van-two-fills.ini");
  const HeelResult result = solve_heel(van, {}, 0.1);
  ASSERT_TRUE(result.lowest_indicated_l);
  const auto dry_at = [&](double indicated_l) {
    scenario::Scenario at = van;
    at.heel.indicated_l = indicated_l;
    return tank::estimate_chance(at, {}).run_dry.chance;
  };
  EXPECT_LE(dry_at(*result.lowest_indicated_l), 0.01 * 1.02);
  EXPECT_GT(dry_at(*result.lowest_indicated_l - 0.3), 0.01);
}

}  // namespace
}  // namespace blendrisk::decide::heel_test
