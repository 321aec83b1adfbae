#include "tank/chance.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "tank/conditional.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::tank {
namespace {

using testing::example;
using testing::scenario_of;

estimate::Options with_seed(std::uint64_t seed) {
  estimate::Options options;
  options.seed = seed;
  return options;
}

/// "0.02725": so many significant digits.
std::string digits(double value, int count) {
  char text[32];
  std::snprintf(text, sizeof text, "%.*e", count - 1, value);
  return text;
}

// Exact chances by nested Gauss quadrature. A t of 15 degrees of freedom is beyond 4 standard
// errors in 1 of 860 runs; four limits, seed fixed.
TEST(Chance, BenchmarkProblemAtDefaultSettings) {
  const auto scenario = example("benchmark.ini");
  for (const auto& known : testing::k_benchmark) {
    const estimate::Result result =
        estimate_side(scenario, {estimate::Side::below, known.limit}, {});
    EXPECT_NEAR(result.estimate.chance, known.chance, 4.0 * result.estimate.standard_error);
    EXPECT_LE(result.estimate.standard_error, 0.01 * result.estimate.chance);
    EXPECT_GT(result.estimate.standard_error, 0.0);
    EXPECT_EQ(result.effort.stop, estimate::Stop::precision_reached);
    EXPECT_TRUE(result.effort.tilted);
    EXPECT_LT(result.effort.evaluations, 3000U);
  }
}

TEST(Chance, BenchmarkProblemToFourDigits) {
  estimate::Options options;
  options.precision = 1e-4;
  for (const auto& known : testing::k_benchmark) {
    const auto result =
        estimate_side(example("benchmark.ini"), {estimate::Side::below, known.limit}, options);
    EXPECT_EQ(digits(result.estimate.chance, 4), digits(known.chance, 4));
    EXPECT_NEAR(result.estimate.chance, known.chance, 4.0 * result.estimate.standard_error);
  }
}

// The benchmark's pump, hose and heel are continuous: what is not below is above.
TEST(Chance, BelowAndAboveMakeUpTheWhole) {
  const auto scenario = example("benchmark.ini");
  for (const auto& known : testing::k_benchmark) {
    const auto above = estimate_side(scenario, {estimate::Side::above, known.limit}, {});
    EXPECT_NEAR(above.estimate.chance, 1.0 - known.chance, 4.0 * above.estimate.standard_error);
  }
}

// The wagon, the van and others stand in the whole-program tests; here the sum of both sides.
TEST(Chance, OutsideIsBelowPlusAbove) {
  const auto scenario = example("benchmark.ini", {{"limits.maximum", "77 %"}});
  const estimate::ChanceResult result = estimate_chance(scenario, {});
  ASSERT_TRUE(result.below_minimum && result.above_maximum);
  EXPECT_DOUBLE_EQ(result.outside.chance,
                   result.below_minimum->chance + result.above_maximum->chance);
  EXPECT_NEAR(
      result.outside.standard_error,
      std::hypot(result.below_minimum->standard_error, result.above_maximum->standard_error),
      1e-15);
  EXPECT_FALSE(result.met);
  EXPECT_TRUE(result.clearly);
}

TEST(Chance, SeedsChangeTheAnswerAndThreadsDoNot) {
  const auto scenario = example("van-two-fills.ini");
  for (const estimate::Method method : {estimate::Method::conditional, estimate::Method::crude}) {
    estimate::Options options = with_seed(3);
    options.method = method;
    options.precision = method == estimate::Method::crude ? 0.05 : 0.0002;
    options.threads = 1;
    const estimate::ChanceResult one = estimate_chance(scenario, options);
    for (const unsigned threads : {2U, 7U}) {
      options.threads = threads;
      const estimate::ChanceResult more = estimate_chance(scenario, options);
      EXPECT_EQ(one.outside.chance, more.outside.chance);
      EXPECT_EQ(one.outside.standard_error, more.outside.standard_error);
      EXPECT_EQ(one.landed.mean, more.landed.mean);
      EXPECT_EQ(one.landed.quantiles, more.landed.quantiles);
      EXPECT_EQ(one.run_dry.chance, more.run_dry.chance);
      EXPECT_EQ(one.effort.evaluations, more.effort.evaluations);
    }
    options.seed = 4;
    EXPECT_NE(one.outside.chance, estimate_chance(scenario, options).outside.chance);
  }
}

constexpr const char* k_exact =
    "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 30 %\n"
    "[fuel]\ncontent = 80 %\nhose-volume = 1 L\nhose-content = 10 %\n";

// 44.3 L of ethanol in 60 L, see the volume balances.
TEST(Chance, NothingUncertainIsExact) {
  const auto result =
      estimate_chance(scenario_of(std::string(k_exact) + "[limits]\nminimum = 73.8 %\n"), {});
  EXPECT_TRUE(result.effort.methods.exact);
  EXPECT_EQ(result.effort.stop, estimate::Stop::exact);
  EXPECT_NEAR(result.landed.mean, 44.3 / 60.0, 1e-14);
  EXPECT_NEAR(result.landed.standard_deviation, 0.0, 1e-14);
  EXPECT_EQ(result.outside.chance, 0.0);
  EXPECT_FALSE(result.outside.upper_bound_only);
  EXPECT_TRUE(result.met && result.clearly);
  const auto missed =
      estimate_chance(scenario_of(std::string(k_exact) + "[limits]\nminimum = 73.9 %\n"), {});
  EXPECT_EQ(missed.outside.chance, 1.0);
  EXPECT_FALSE(missed.met);
}

// Only the hose is uncertain, so the cases are counted, of which none is ever outside.
TEST(Chance, CountingStopsAtTheMostThatIsAllowed) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 30 %\n[fuel]\ncontent = 80 %\n"
      "hose-volume = uniform(0.5 L, 1.5 L)\nhose-content = 10 %\n[limits]\nminimum = 10 %\n");
  const auto few = estimate_outside(scenario, {.most_counted = 100'000});
  EXPECT_TRUE(few.estimate.upper_bound_only);
  EXPECT_LE(few.effort.evaluations, 150'000U);
  const auto more = estimate_outside(scenario, {.most_counted = 400'000});
  EXPECT_GT(more.effort.evaluations, few.effort.evaluations);
  EXPECT_LT(more.estimate.interval[1], few.estimate.interval[1]);
}

// Only the heel's volume is uncertain. With 80 % into H litres of 30 % and 1 L of 10 %, c is below
// 70 % when 48 − 0.7 − 0.5 H < 42 L, H > 10.6 L: the chance that N(0, 1.5) exceeds 4.6.
TEST(Chance, ExactContentsConditionOnTheGauge) {
  const auto result =
      estimate_chance(scenario_of(std::string(k_exact) + "[limits]\nminimum = 70 %\n",
                                  {{"heel.gauge-error", "normal(0 L, 1.5 L)"}}),
                      {});
  EXPECT_TRUE(result.effort.methods.exact);
  EXPECT_EQ(result.conditioned_on, "heel.gauge-error");
  EXPECT_NEAR(result.outside.chance, 0.5 * std::erfc(4.6 / 1.5 / std::sqrt(2.0)), 1e-11);
}

// Only the pump is uncertain: c < 70 % when 53 c_p < 42 − 1.9 L.
TEST(Chance, OneUncertainContentIsExact) {
  const auto result =
      estimate_chance(scenario_of(std::string(k_exact) + "[limits]\nminimum = 70 %\n",
                                  {{"fuel.content", "normal(80 %, 2 %)"}}),
                      {});
  EXPECT_TRUE(result.effort.methods.exact);
  const double threshold = 40.1 / 53.0;
  EXPECT_NEAR(result.outside.chance, 0.5 * std::erfc((0.8 - threshold) / 0.02 / std::sqrt(2.0)),
              1e-11);
  EXPECT_NEAR(result.landed.quantiles[2], 44.3 / 60.0, 1e-6);
}

TEST(Chance, ConditionsOnAnotherContentWhereThePumpIsExact) {
  const auto scenario = example("wagon-reading.ini", {{"fuel.content", "80 %"}});
  const estimate::ChanceResult result = estimate_chance(scenario, {});
  EXPECT_TRUE(result.effort.methods.conditional);
  EXPECT_EQ(result.conditioned_on, "sensor.bias");
  EXPECT_EQ(estimate_chance(example("sedan.ini", {{"fuel.content", "75 %"}}), {}).conditioned_on,
            "heel.content");
}

// Two fills, every content exact: nothing is left to condition on.
TEST(Chance, FallsBackToCountingAndSaysSo) {
  const auto scenario = example("van-two-fills.ini", {{"heel.content", "10 %"},
                                                      {"fuel.content", "80 %"},
                                                      {"fill-2.content", "80 %"},
                                                      {"limits.minimum", "72 %"}});
  const estimate::ChanceResult result = estimate_chance(scenario, {});
  EXPECT_TRUE(result.effort.methods.crude);
  EXPECT_LE(result.outside.standard_error, 0.011 * result.outside.chance);
}

// The pump never gives less than 68 %, so 30 L of it over 30 L of 60 % cannot land below 63 %.
TEST(Chance, WhatNeverHappensIsAnUpperBound) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 30 L\ncontent = 60 %\n"
      "gauge-error = uniform(-1 L, 1 L)\n"
      "[fuel]\ncontent = uniform(68 %, 83 %)\n[limits]\nminimum = 63 %\n");
  for (const estimate::Method method : {estimate::Method::conditional, estimate::Method::crude}) {
    estimate::Options options;
    options.method = method;
    if (method == estimate::Method::crude) options.cases = 100'000;
    const estimate::ChanceResult result = estimate_chance(scenario, options);
    EXPECT_EQ(result.outside.chance, 0.0);
    EXPECT_TRUE(result.outside.upper_bound_only);
    EXPECT_GT(result.outside.interval[1], 0.0);
    EXPECT_LT(result.outside.interval[1], 1e-4);
    EXPECT_TRUE(result.met && result.clearly);
    EXPECT_EQ(result.effort.stop, estimate::Stop::budget_spent);
  }
}

// What lands on a limit meets it, whatever rounding makes of the sum.
TEST(Chance, AtTheLimitIsWithinIt) {
  for (const estimate::Method method : {estimate::Method::conditional, estimate::Method::crude}) {
    estimate::Options options;
    options.method = method;
    if (method == estimate::Method::crude) options.cases = 100'000;
    const std::string tank =
        "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ngauge-error = normal(0 L, 1 L)\n"
        "content = 62 %\n[fuel]\n";
    for (const char* side : {"minimum", "maximum"}) {
      const std::string limits = std::string("[limits]\n") + side + " = 62 %\n";
      const auto same = scenario_of(tank + "content = 62 %\n" + limits);
      EXPECT_EQ(estimate_chance(same, options).outside.chance, 0.0) << side;
    }
    const auto tied =
        scenario_of(tank + "content = measured(\"a.csv\", \"content_percent\") in [70 %, 79 %]\n" +
                    "[limits]\nminimum = 62 %\n");
    EXPECT_EQ(estimate_chance(tied, options).outside.chance, 0.0);
  }
}

// Misses by a heavy tail that the fitted tilt does not point to: a heel of 10 ± 0.3 L whose content
// is a t of 2 degrees of freedom, under a pump whose normal law makes other misses likelier at
// first sight. Known from nested quadrature (Gauss–Hermite over the gauge, adaptive over t).
TEST(Chance, HeavyTailsAreSeen) {
  const std::string text =
      "[tank]\ncapacity = 50 L\n[heel]\nindicated = 10 L\ngauge-error = normal(0 L, 0.3 L)\n"
      "content = tests(8 %, 8.2 %, 8.1 %)\n[fuel]\ncontent = normal(78 %, 1 %)\n[limits]\n";
  const double known[][2] = {
      {69, 3.0101627e-06}, {70, 1.9935027e-06}, {71, 1.4341739e-06}, {74, 6.8360191e-07}};
  for (const auto& [limit, chance] : known) {
    const auto scenario = scenario_of(text + "maximum = " + std::to_string(limit) + " %\n");
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
      const estimate::Estimate above = estimate_chance(scenario, with_seed(seed)).outside;
      // A t of 15 degrees is beyond 5 standard errors in 1 of 6000; 20 runs, seeds fixed.
      EXPECT_NEAR(above.chance, chance, 5.0 * above.standard_error) << limit << ' ' << seed;
      EXPECT_LT(above.standard_error, 0.0101 * chance);
    }
  }
}

// A content that is mostly one value is still conditioned on: nine tests of 70 % and one of 55 %
// miss in a tenth of the cases.
TEST(Chance, ConditionsOnAContentThatIsMostlyOneValue) {
  std::string values = "content_percent\n55\n";
  for (int i = 0; i < 9; ++i) values += "70\n";
  const auto scenario = scenario::read(
      {"test.ini",
       "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
       "gauge-error = normal(0 L, 0.5 L)\n[fuel]\n"
       "content = measured(\"a.csv\", \"content_percent\")\n[limits]\nminimum = 60 %\n"},
      {}, [&](const std::string&) { return values; });
  const estimate::ChanceResult result = estimate_chance(scenario, {});
  EXPECT_EQ(result.conditioned_on, "fuel.content");
  const double rounding = 1e-15;
  EXPECT_NEAR(result.outside.chance, 0.1, 5.0 * result.outside.standard_error + rounding);
  EXPECT_LT(result.outside.standard_error, 0.001);
}

// What the decision needs is enough where nobody asked for more: a chance a thousand times below
// the risk to a tenth, and a precision that is asked for is kept. The laws are heavy in their
// tails.
TEST(Chance, StopsWhereTheDecisionIsServed) {
  const std::string text =
      "[tank]\ncapacity = 50 L\n[heel]\nindicated = 10 L\ngauge-error = normal(0 L, 0.3 L)\n"
      "content = tests(8 %, 8.2 %, 8.1 %)\n[fuel]\ncontent = normal(78 %, 1 %)\n[limits]\n"
      "maximum = 69 %\naccepted-risk = ";
  const auto far = scenario_of(text + "1 %\n");
  const auto nearer = scenario_of(text + "0.1 %\n");
  int short_of_it = 0;
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    estimate::Options options = with_seed(seed);
    options.precision = 0.001;
    const estimate::ChanceResult full = estimate_chance(far, options);
    EXPECT_EQ(full.effort.stop, estimate::Stop::precision_reached);
    options.decision_serves = true;
    const estimate::ChanceResult served = estimate_chance(far, options);
    EXPECT_LE(served.effort.evaluations, full.effort.evaluations);
    EXPECT_LT(served.outside.interval[1], 1e-3 * 0.01);
    EXPECT_LE(served.outside.standard_error, 0.1 * served.outside.chance);
    if (served.effort.stop == estimate::Stop::decision_served) {
      EXPECT_GT(served.outside.standard_error, 0.001 * served.outside.chance);
      ++short_of_it;
    }
    EXPECT_EQ(estimate_chance(nearer, options).outside.chance, full.outside.chance);
  }
  EXPECT_GT(short_of_it, 0);
}

// A bound is judged by its end: 32 cases without a miss do not show a risk of 0.1 %.
TEST(Chance, NoMissInFewCasesDoesNotMeetARisk) {
  estimate::Options few;
  few.method = estimate::Method::crude;
  few.cases = 32;
  const auto scenario =
      example("sedan.ini", {{"limits.minimum", "50 %"}, {"limits.accepted-risk", "0.1 %"}});
  const estimate::ChanceResult result = estimate_chance(scenario, few);
  EXPECT_TRUE(result.outside.upper_bound_only);
  EXPECT_FALSE(result.met);
}

// Where no point misses there are as many as it takes to bound the chance by the risk.
TEST(Chance, ABoundReachesTheRisk) {
  for (const char* risk : {"1 %", "0.01 %", "0.0001 %"}) {
    const auto scenario = example(
        "sedan.ini",
        {{"limits.minimum", "20 %"}, {"limits.maximum", "90 %"}, {"limits.accepted-risk", risk}});
    const estimate::ChanceResult result = estimate_chance(scenario, {});
    EXPECT_TRUE(result.outside.upper_bound_only) << risk;
    EXPECT_TRUE(result.met && result.clearly) << risk;
  }
}

// Every point misses: the chance is 1, and both rows say how sure that is.
TEST(Chance, NearlyCertainMissesAgreeInEveryRow) {
  const estimate::ChanceResult result =
      estimate_chance(example("sedan.ini", {{"limits.minimum", "95 %"}}), {});
  EXPECT_EQ(result.outside.interval, result.below_minimum->interval);
  EXPECT_LT(result.outside.interval[0], 1.0);
  EXPECT_GT(result.outside.interval[0], 0.999);
  EXPECT_EQ(result.effort.stop, estimate::Stop::precision_reached);
}

TEST(Chance, ATankThatMayHoldNothingIsRefused) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 0 L\ncontent = 10 %\n"
      "gauge-error = normal(0 L, 1 L)\n"
      "[fuel]\ncontent = uniform(68 %, 83 %)\n[fill]\namount = 0 L\n[limits]\nminimum = 60 %\n");
  EXPECT_THROW(estimate_chance(scenario, {}), estimate::ImpossibleScenario);
  estimate::Options crude;
  crude.method = estimate::Method::crude;
  crude.threads = 2;
  EXPECT_THROW(estimate_chance(scenario, crude), estimate::ImpossibleScenario);
  // By the laws, not by whether a draw happens to be empty.
  const auto wide = example("sedan.ini", {{"tank.click-off", "normal(12 L, 4 L)"}});
  for (std::uint64_t seed = 1; seed < 6; ++seed) {
    EXPECT_THROW(estimate_chance(wide, with_seed(seed)), estimate::ImpossibleScenario);
  }
  EXPECT_NO_THROW(
      estimate_chance(example("sedan.ini", {{"tank.click-off", "normal(12 L, 3 L)"}}), {}));
}

TEST(Chance, AFixedBudgetIsKept) {
  const auto scenario = example("benchmark.ini");
  for (const std::uint64_t cases : {32ULL, 100ULL, 1000ULL, 20'000ULL}) {
    estimate::Options options;
    options.cases = cases;
    const estimate::Result result = estimate_side(scenario, {estimate::Side::below, 0.66}, options);
    const std::uint64_t pilots = 64 + 8 * (64 + 512);
    EXPECT_LE(result.effort.evaluations, cases + pilots);
    EXPECT_NEAR(result.estimate.chance, 0.00410765167, 6.0 * result.estimate.standard_error);
  }
  estimate::Options crude;
  crude.method = estimate::Method::crude;
  crude.cases = 123'457;
  EXPECT_EQ(estimate_chance(scenario, crude).effort.evaluations, 123'457U);
}

// N(97 %, 3 %) exceeds 100 % in Φ(−1) of the draws.
TEST(Chance, HeldDrawsAreNamed) {
  const auto scenario = example("benchmark.ini", {{"fuel.content", "normal(97 %, 3 %)"}});
  const estimate::ChanceResult result = estimate_chance(scenario, {});
  ASSERT_EQ(result.held.size(), 1U);
  EXPECT_EQ(result.held[0].key, "fuel.content");
  EXPECT_NEAR(result.held[0].share, 0.158655, 1e-6);
}

// What was fitted once serves the next look, which tells the same to the last digit; a fit to
// something else would not.
TEST(Chance, AnotherLookTakesTheSameFit) {
  for (const char* name : {"benchmark.ini", "van-one-supplier.ini"}) {
    const auto scenario = testing::example(name);
    const sampling::CaseInputs inputs(scenario);
    const estimate::Estimate alone = estimate_outside(inputs, {}).estimate;
    FittedSides fitted;
    for (int look = 0; look < 2; ++look) {
      const estimate::Estimate one = estimate_outside(inputs, {}, &fitted).estimate;
      EXPECT_EQ(one.chance, alone.chance) << name << look;
      EXPECT_EQ(one.interval, alone.interval) << name << look;
    }
    estimate::Fitted& below = fitted.of(estimate::Side::below);
    ASSERT_TRUE(below) << name;
    below->mixture = {};
    EXPECT_NE(estimate_outside(inputs, {}, &fitted).estimate.chance, alone.chance);
  }
}

}  // namespace
}  // namespace blendrisk::tank
