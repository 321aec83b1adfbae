#include "estimate/measured.hpp"

#include <gsl/gsl_cdf.h>
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "decide/arrive.hpp"
#include "distributions/families.hpp"
#include "estimate/sample_size.hpp"
#include "learn/pump_law.hpp"
#include "scenario/column.hpp"
#include "tank/chance.hpp"
#include "tank/common_random_numbers.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::estimate {
namespace {

using scenario::Scenario;
using testing::example;
using testing::scenario_of;

/// Contents of 70, 71, 72, 75 and 79 %, by the reader of tests.
constexpr const char* k_five = "measured(\"a.csv\", \"content_percent\")";
constexpr double k_share = 1.0 / 6.0;

/// The chance on one side of a limit as if there were nothing beyond the measured values.
Estimate as_if_known(const Scenario& scenario, Side side, double limit, const Options& options) {
  const sampling::CaseInputs inputs(scenario);
  const tank::Condition condition = tank::condition_of(inputs);
  Workspace workspace(inputs);
  const auto integrand = tank::outside_limit(inputs, condition, {side, limit});
  return estimate_mean(
             tank::outside_problem(inputs, condition, {side, limit}, *integrand, options.seed),
             options, workspace, {})
      .estimate;
}

void expect_same(const Estimate& a, const Estimate& b, const std::string& where) {
  EXPECT_EQ(a.chance, b.chance) << where;
  EXPECT_EQ(a.standard_error, b.standard_error) << where;
  EXPECT_EQ(a.interval, b.interval) << where;
  EXPECT_EQ(a.upper_bound_only, b.upper_bound_only) << where;
  EXPECT_FALSE(a.few_values) << where;
}

void expect_bound(const Estimate& told, double least, double error, const std::string& where) {
  EXPECT_NEAR(told.chance, least, error) << where;
  EXPECT_EQ(told.interval[0], 0.0) << where;
  EXPECT_EQ(told.interval[1], told.chance) << where;
  EXPECT_TRUE(told.upper_bound_only && told.few_values) << where;
}

// Of 6 values drawn alike each is the least with chance 1/6, and the next pump may deliver no
// ethanol at all. By either method, and by the fallback that counts.
TEST(Measured, AChanceThatRestsOnTheTailIsToldAtOneOfNPlusOne) {
  const Scenario sedan =
      example("sedan.ini", {{"fuel.content", k_five}, {"limits.minimum", "50 %"}});
  EXPECT_LT(as_if_known(sedan, Side::below, 0.5, at_ends({})).chance, 1e-6);
  Options counting;
  counting.method = Method::crude;
  counting.cases = 50'000;
  for (const Options& options : {Options{}, counting}) {
    const ChanceResult result = tank::estimate_chance(sedan, options);
    expect_bound(*result.below_minimum, k_share, 1e-3, "below");
    expect_bound(result.outside, k_share, 1e-3, "outside");
    EXPECT_FALSE(result.met);
    EXPECT_FALSE(result.run_dry.few_values);  // the pump does not matter to that
    expect_bound(tank::estimate_outside(sedan, options).estimate, k_share, 1e-3, "alone");
  }
  expect_bound(tank::estimate_side(sedan, {Side::below, 0.5}, {}).estimate, k_share, 1e-3, "side");
  // The other end, on the way back.
  const Scenario back =
      example("sedan.ini",
              {{"fuel.content", k_five}, {"limits.minimum", "2 %"}, {"limits.maximum", "80 %"}});
  const ChanceResult result = tank::estimate_chance(back, {});
  expect_bound(*result.above_maximum, k_share, 1e-3, "above");
  expect_bound(*result.below_minimum, k_share, 0.05, "below 2 %");
}

// Bit by bit what it is without a thought of the tail: a hose that holds a litre in 55, and a
// chance that the measured values themselves make.
TEST(Measured, AChanceThatDoesNotRestOnTheTailIsNotTouched) {
  const std::pair<const char*, const char*> not_resting[] = {{"fuel.hose-content", "62 %"},
                                                             {"fuel.content", "64 %"}};
  for (const auto& [key, minimum] : not_resting) {
    const Scenario sedan = example("sedan.ini", {{key, k_five}, {"limits.minimum", minimum}});
    for (const std::uint64_t seed : {1U, 2U, 3U}) {
      Options options;
      options.seed = seed;
      const double limit = *sedan.limits.minimum;
      const Estimate known = as_if_known(sedan, Side::below, limit, options);
      const ChanceResult result = tank::estimate_chance(sedan, options);
      expect_same(*result.below_minimum, known, key);
      expect_same(result.outside, known, key);
      expect_same(tank::estimate_outside(sedan, options).estimate, known, key);
      EXPECT_EQ(tank::CommonRandomNumbers(sedan, seed, 6).sides().least < known.chance, true)
          << key;
    }
  }
}

// A tenth of a litre of what may be anything adds little, but not nothing: the chance at the worse
// end is known from the same estimator with that content exact.
TEST(Measured, WhatAnInputMayAddIsItsShareOfTheWorseEnd) {
  const auto with_hose = [](const char* content) {
    return example("sedan.ini", {{"fuel.hose-content", content},
                                 {"fuel.hose-volume", "2 L"},
                                 {"fuel.content", "normal(76 %, 1 %)"},
                                 {"limits.minimum", "63 %"}});
  };
  const double worse = tank::estimate_outside(with_hose("0 %"), {}).estimate.chance;
  const Scenario measured = with_hose(k_five);
  const double raw = as_if_known(measured, Side::below, 0.63, {}).chance;
  const double least = k_share * worse;
  ASSERT_GT(least, 2.0 * raw);
  expect_bound(tank::estimate_outside(measured, {}).estimate, least, 0.05 * least, "hose");
  tank::CommonRandomNumbers points(measured, 1, 6);
  points.fit();
  EXPECT_NEAR(points.outside(), least, 0.05 * least);
}

// A window says what lies beyond the values: nothing below 68 %.
TEST(Measured, AWindowNarrowsWhatIsUnknown) {
  const std::string window = std::string(k_five) + " in [68 %, 90 %]";
  const Scenario sedan =
      example("sedan.ini", {{"fuel.content", window}, {"limits.minimum", "55 %"}});
  const Estimate known = as_if_known(sedan, Side::below, 0.55, {});
  const Scenario at_68 =
      example("sedan.ini", {{"fuel.content", "68 %"}, {"limits.minimum", "55 %"}});
  const double least = k_share * tank::estimate_outside(at_68, {}).estimate.chance;
  const Estimate told = tank::estimate_outside(sedan, {}).estimate;
  EXPECT_GT(known.chance, 0.0);
  EXPECT_NEAR(told.chance, std::max(known.chance, least), 0.06 * told.chance);
  EXPECT_LT(told.chance, 1e-3);
  // A window that leaves out two of the values leaves three: a quarter.
  const Scenario cut = example(
      "sedan.ini",
      {{"fuel.content", std::string(k_five) + " in [0 %, 73 %]"}, {"limits.minimum", "40 %"}});
  expect_bound(tank::estimate_outside(cut, {}).estimate, 0.25, 1e-3, "three values");
}

// What moves along is as it is where the measured input is beyond its values: at the median of the
// scores there, Φ⁻¹(1/12) (GNU Scientific Library).
TEST(Measured, CorrelatedInputsFollowToTheEnd) {
  const Scenario van = example("van-two-fills.ini",
                               {{"fuel.content", k_five}, {"fill-2.content", "normal(76 %, 2 %)"}});
  Scenario together = van;
  together.correlations.push_back({"fuel.content", "fill-2.content", 0.9});
  const sampling::CaseInputs inputs(together);
  const auto measured = measured_inputs(inputs);
  ASSERT_EQ(measured.size(), 1U);
  EXPECT_EQ(measured[0].key, "fuel.content");
  EXPECT_EQ(measured[0].count, 5U);
  EXPECT_EQ(measured[0].ends, (std::array{0.0, 1.0}));
  const Scenario low = at_end(together, measured[0], 0);
  ASSERT_EQ(low.known.size(), 1U);
  EXPECT_NEAR(low.known[0].score, gsl_cdf_ugaussian_Pinv(1.0 / 12.0), 1e-9);
  EXPECT_NEAR(at_end(together, measured[0], 1).known[0].score, gsl_cdf_ugaussian_Pinv(11.0 / 12.0),
              1e-9);
  // Both low is worse than one.
  const auto at_low = [&](const Scenario& scenario) {
    return tank::estimate_outside(at_end(scenario, measured[0], 0), {}).estimate.chance;
  };
  EXPECT_GT(at_low(together), 1.05 * at_low(van));
}

// The tank may be empty by a gauge of which five errors are known (contents serve as litres here).
TEST(Measured, RunningDryToo) {
  const Scenario scenario = scenario::read(
      {"test.ini",
       "[tank]\ncapacity = 60 L\npickup-floor = 1 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
       "gauge-error = measured(\"a.csv\", \"error_l\")\n[fuel]\ncontent = normal(76 %, 2 %)\n"
       "[limits]\nminimum = 60 %\n"},
      {}, [](const std::string&) { return "error_l\n-0.5\n0\n0.1\n0.2\n0.9\n"; });
  const ChanceResult result = tank::estimate_chance(scenario, {});
  expect_bound(result.run_dry, k_share, 1e-12, "dry");
  EXPECT_FALSE(result.dry_met);
  expect_bound(tank::estimate_run_dry(scenario, {}), k_share, 1e-12, "dry alone");
  expect_bound(result.outside, k_share, 1e-2, "a tank full of old fuel");
}

// Neither the rail nor a reading is trusted beyond it: a pump that may deliver anything with chance
// 1/6, and a sensor that may be off by anything with the same.
TEST(Measured, TheLineToo) {
  const Scenario pump =
      example("wagon-line.ini", {{"fuel.content", k_five}, {"limits.minimum", "50 %"}});
  const decide::ArriveResult by_pump = decide::solve_arrive(pump, {}, 0.01);
  expect_bound(by_pump.arrival.never, k_share, 1e-3, "never");
  EXPECT_FALSE(by_pump.enough.burn_l);
  for (const line::RailPoint& point : by_pump.arrival.rail) {
    EXPECT_GT(point.outside.chance, k_share - 1e-3) << point.burn_l;
  }
  std::ifstream file(testing::source_dir() + "/examples/wagon-line.ini");
  std::stringstream text;
  text << file.rdbuf();
  const auto with_bias = [&](const std::string& law) {
    return scenario::read({"wagon-line.ini", text.str()},
                          {{"sensor.bias", law}, {"limits.accepted-risk", "3 %"}},
                          [](const std::string&) { return "bias_percent\n-1\n-0.5\n0\n0.5\n1\n"; });
  };
  const std::string values = "measured(\"a.csv\", \"bias_percent\")";
  EXPECT_FALSE(decide::solve_arrive(with_bias(values), {}, 0.01).wait_for.reading);
  const auto inside =
      decide::solve_arrive(with_bias(values + " in [-1 %, 1 %]"), {}, 0.01).wait_for;
  ASSERT_TRUE(inside.reading);
  EXPECT_LE(inside.too_early.chance, 0.03);
}

// The twelve tests as they are, and as the law that `learn` makes of them: where a chance is told
// at all, they differ by less than a factor of 3, whatever the limit.
TEST(Measured, TwelveTestsAgreeWithTheLawLearnedOfThem) {
  std::ifstream file(testing::source_dir() + "/examples/invented-pump-tests.csv");
  std::stringstream text;
  text << file.rdbuf();
  std::vector<learn::PumpTest> tests;
  for (const double content : scenario::read_column("tests.csv", text.str(), "content_percent",
                                                    units::Dimension::content)) {
    tests.push_back({0, std::nullopt, content});
  }
  const learn::StudentLaw next = *learn::pump_laws(tests, {}).pumps.front().law;
  std::ifstream ini(testing::source_dir() + "/examples/sedan.ini");
  std::stringstream sedan;
  sedan << ini.rdbuf();
  const Scenario measured =
      scenario::read({"sedan.ini", sedan.str()},
                     {{"fuel.content", "measured(\"tests.csv\", \"content_percent\")"}},
                     [&](const std::string&) { return text.str(); });
  Scenario learned = measured;
  learned.fills[0].content =
      distributions::truncated(distributions::student(next.center, next.scale, next.dof), 0.0, 1.0);
  int told = 0;
  int bounds = 0;
  for (int percent = 20; percent <= 80; percent += 3) {
    for (const Side side : {Side::below, Side::above}) {
      const double limit = 0.01 * percent;
      const Estimate of_values = tank::estimate_side(measured, {side, limit}, {}).estimate;
      const Estimate of_law = tank::estimate_side(learned, {side, limit}, {}).estimate;
      if (of_values.few_values) {
        ++bounds;
        EXPECT_NEAR(of_values.chance, 1.0 / 13.0, 0.002) << percent;
        EXPECT_LT(of_law.chance, 1.5 * of_values.chance) << percent;
        continue;
      }
      ++told;
      EXPECT_LT(of_values.chance, 3.0 * of_law.chance) << percent;
      EXPECT_GT(of_values.chance, of_law.chance / 3.0) << percent;
    }
  }
  EXPECT_GT(told, 10);
  EXPECT_GT(bounds, 10);
}

}  // namespace
}  // namespace blendrisk::estimate
