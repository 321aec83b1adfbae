#include <gtest/gtest.h>

#include <cmath>

#include "decide/drivers.hpp"
#include "decide/fill.hpp"
#include "decide/variants.hpp"
#include "line/arrival.hpp"
#include "numeric/vector_math.hpp"
#include "scenario/correlation.hpp"
#include "tank/chance.hpp"
#include "tank/landed_sensitivity.hpp"
#include "tests/scenarios.hpp"

// Correlated inputs: closed forms, and crude Monte Carlo, which conditions on nothing.
namespace blendrisk::tank::correlated_test {
namespace {

using scenario::Scenario;
using testing::example;
using testing::scenario_of;

constexpr double k_bound = 4.9;  // a false alarm in a million a comparison

Scenario correlated(Scenario scenario, std::vector<scenario::Correlation> pairs) {
  scenario.correlations = std::move(pairs);
  return scenario;
}

/// 20 L of the old fuel, 40 L of the new: c = (c_old + 2 c_new)/3, both normal.
Scenario two_normals(double minimum, double rank) {
  const auto text = [](double x) { return std::to_string(x); };
  return scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 20 L\ncontent = normal(40 %, 3 %)\n"
      "[fuel]\ncontent = normal(70 %, 2 %)\n[limits]\nminimum = " +
      text(minimum) + " %\n[correlation]\nheel.content, fuel.content = " + text(rank));
}

/// Mean 60 %, in percent.
double sd_of_two_normals(double rank) {
  const double r = scenario::score_correlation(rank);
  return std::sqrt(9.0 + 16.0 + 2.0 * 3.0 * 4.0 * r) / 3.0;
}

void expect_near(const estimate::Estimate& estimate, double truth, const std::string& what) {
  EXPECT_LT(std::abs(estimate.chance - truth), k_bound * estimate.standard_error + 1e-9 * truth)
      << what << ": " << estimate.chance << " for " << truth;
}

TEST(Correlated, TwoNormalsInClosedForm) {
  for (const double rank : {-0.9, -0.5, 0.3, 0.9}) {
    for (const double sds : {0.5, 2.3, 6.0}) {
      const double minimum = std::round(1e4 * (60.0 - sds * sd_of_two_normals(rank))) / 1e4;
      const double truth = numeric::normal_cdf((minimum - 60.0) / sd_of_two_normals(rank));
      const estimate::ChanceResult result = estimate_chance(two_normals(minimum, rank), {});
      expect_near(result.outside, truth, std::to_string(rank) + " at " + std::to_string(minimum));
      // The twin: without the correlation the chance is another one.
      const double alone = numeric::normal_cdf((minimum - 60.0) / sd_of_two_normals(0.0));
      EXPECT_GT(std::abs(result.outside.chance - alone), k_bound * result.outside.standard_error);
      // The normal quantile at 97.5 %: statistics.NormalDist of Python.
      const double quantile = 0.6 - 0.01 * 1.959963984540054 * sd_of_two_normals(rank);
      // 4096 points tell a quantile to a few hundredths of the spread at worst.
      EXPECT_NEAR(result.landed.quantiles[0], quantile, 0.0003 * sd_of_two_normals(rank));
    }
  }
}

struct Case {
  const char* name;
  Scenario scenario;
};

std::vector<Case> cases() {
  std::vector<Case> all;
  const auto add = [&](const char* name, const Scenario& scenario,
                       std::vector<scenario::Correlation> pairs) {
    all.push_back({name, correlated(scenario, std::move(pairs))});
  };
  add("gauge and click-off, both with the pump", example("benchmark.ini"),
      {{"tank.click-off", "heel.gauge-error", 0.5},
       {"heel.gauge-error", "fuel.content", -0.6},
       {"tank.click-off", "fuel.content", -0.3}});
  add("both sides", example("benchmark.ini", {{"limits.maximum", "76 %"}}),
      {{"heel.gauge-error", "fuel.content", 0.7}});
  add("heavy tails", example("benchmark.ini", {{"fuel.content", "student(80 %, 2 %, 3)"}}),
      {{"heel.gauge-error", "fuel.content", -0.5}, {"heel.content", "fuel.content", 0.4}});
  add("steps",
      example("benchmark.ini", {{"fuel.content", "measured(\"a.csv\", \"content_percent\")"}}),
      {{"heel.gauge-error", "fuel.content", -0.7}});
  add("steps in the heel",
      example("benchmark.ini", {{"heel.content", "measured(\"a.csv\", \"content_percent\")"},
                                {"fuel.content", "80 %"},
                                {"limits.minimum", "79 %"}}),
      {{"heel.gauge-error", "heel.content", 0.7}});
  add("no content, by the gauge",
      example("benchmark.ini",
              {{"fuel.content", "80 %"}, {"heel.content", "20 %"}, {"fuel.hose-content", "50 %"}}),
      {{"tank.click-off", "heel.gauge-error", -0.8},
       {"heel.gauge-error", "fuel.hose-volume", 0.3}});
  add("by a reading", example("wagon-reading.ini"),
      {{"sensor.bias", "fuel.content", 0.6}, {"heel.gauge-error", "sensor.bias", -0.3}});
  add("two fills of one supplier", example("van-two-fills.ini", {{"limits.minimum", "66 %"}}),
      {{"fuel.content", "fill-2.content", 0.8}, {"fuel.meter-error", "fill-2.meter-error", 0.9}});
  add("dry after driving",
      example("van-two-fills.ini", {{"limits.minimum", "66 %"}, {"tank.pickup-floor", "16 L"}}),
      {{"heel.gauge-error", "fill-2.burn-first", -0.8},
       {"tank.click-off", "fill-2.burn-first", 0.3}});
  add("dry before the first or a later fill",
      example("van-two-fills.ini", {{"limits.minimum", "66 %"}, {"tank.pickup-floor", "20 L"}}),
      {{"heel.gauge-error", "fill-2.burn-first", 0.8}});
  add("dry by gauge and click-off",
      example("benchmark.ini", {{"tank.click-off", "normal(60 L, 3 L)"},
                                {"heel.indicated", "57 L"},
                                {"tank.pickup-floor", "56 L"},
                                {"heel.content", "uniform(60 %, 80 %)"}}),
      {{"tank.click-off", "heel.gauge-error", 0.8}});
  add("clicks off early, one fill",
      example("benchmark.ini", {{"fill.amount", "50 L"}, {"fuel.meter-error", "normal(0 %, 3 %)"}}),
      {{"tank.click-off", "heel.gauge-error", 0.7},
       {"heel.gauge-error", "fuel.meter-error", -0.6}});
  add("clicks off early, two fills",
      example("van-two-fills.ini", {{"limits.minimum", "66 %"},
                                    {"fill-2.amount", "52 L"},
                                    {"fill-2.meter-error", "normal(0 %, 2 %)"}}),
      {{"fuel.meter-error", "fill-2.meter-error", 0.8},
       {"heel.gauge-error", "fill-2.meter-error", 0.4}});
  return all;
}

void expect_agree(const std::string& name, const estimate::Estimate& a,
                  const estimate::Estimate& b) {
  const double error = std::hypot(a.standard_error, b.standard_error);
  const bool bounded = a.upper_bound_only || b.upper_bound_only;
  if (bounded) {
    EXPECT_LE(a.interval[0], b.interval[1]) << name;
    EXPECT_LE(b.interval[0], a.interval[1]) << name;
    return;
  }
  EXPECT_LE(std::abs(a.chance - b.chance), k_bound * error + 1e-12)
      << name << ": " << a.chance << " and " << b.chance << " +- " << error;
}

TEST(Correlated, ConditionalChancesAgreeWithCrudeMonteCarlo) {
  estimate::Options crude;
  crude.method = estimate::Method::crude;
  crude.cases = 1'000'000;
  for (const Case& one : cases()) {
    const estimate::ChanceResult fast = estimate_chance(one.scenario, {});
    const estimate::ChanceResult counted_crudely = estimate_chance(one.scenario, crude);
    EXPECT_TRUE(fast.effort.methods.conditional) << one.name;
    expect_agree(one.name, fast.outside, counted_crudely.outside);
    expect_agree(std::string(one.name) + ", dry", fast.run_dry, counted_crudely.run_dry);
    if (fast.clicked_off_early) {
      expect_agree(std::string(one.name) + ", click-off", *fast.clicked_off_early,
                   *counted_crudely.clicked_off_early);
    }
    EXPECT_NEAR(fast.landed.quantiles[2], counted_crudely.landed.quantiles[2],
                0.05 * fast.landed.standard_deviation)
        << one.name;
    // The twin: counting without the correlations is told apart in what it is about.
    const estimate::ChanceResult alone = estimate_chance(correlated(one.scenario, {}), crude);
    const auto apart = [](const estimate::Estimate& a, const estimate::Estimate& b) {
      return std::abs(a.chance - b.chance) >
             k_bound * std::hypot(a.standard_error, b.standard_error);
    };
    EXPECT_TRUE(apart(fast.outside, alone.outside) || apart(fast.run_dry, alone.run_dry))
        << one.name;
  }
}

TEST(Correlated, BitIdenticalOnAnyNumberOfThreads) {
  estimate::Options one;
  one.threads = 1;
  one.precision = 0.0005;
  estimate::Options three = one;
  three.threads = 3;
  const Scenario scenario = cases().front().scenario;
  EXPECT_EQ(estimate_chance(scenario, one).outside.chance,
            estimate_chance(scenario, three).outside.chance);
}

TEST(Correlated, TheRailAgreesWithCounting) {
  const Scenario scenario = correlated(
      example("wagon-line.ini"),
      {{"line.reservoir", "line.filter", 0.7}, {"fuel.content", "heel.gauge-error", -0.5}});
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  const line::Line line(inputs);
  const estimate::Limit target = line::target_of(line);
  estimate::Options crude;
  crude.method = estimate::Method::crude;
  const line::ArrivalCases cases =
      line::follow_cases(line, target, std::uint64_t{1} << 18U, crude, 0);
  for (const double burn : {0.3, 0.4, 0.6, 0.8}) {
    const estimate::Result rail = line::estimate_rail(
        line, target, {line::Moment::By::burned, burn}, {}, std::uint64_t{1} << 20U);
    double hits = 0.0;
    for (std::size_t i = 0; i < cases.size(); ++i) {
      hits += cases.out_from[i] <= burn && burn < cases.out_to[i] ? 1.0 : 0.0;
    }
    const auto n = static_cast<double>(cases.size());
    const double error =
        std::hypot(std::sqrt(hits * (n - hits) / n) / n, rail.estimate.standard_error);
    EXPECT_LT(std::abs(rail.estimate.chance - hits / n), k_bound * error + 1e-6) << burn;
  }
}

// c = (c_old + 2 c_new)/3: parts a = 3, b = 4 (in thirds of a percent) with correlation r.
TEST(Correlated, IndicesKeepTheirMeaning) {
  const double rank = 0.6;
  const double r = scenario::score_correlation(rank);
  const Scenario scenario = two_normals(55.0, rank);
  const sampling::CaseInputs inputs(scenario);
  const LandedSensitivity found = landed_sensitivity(inputs, 3);
  const double variance = 9.0 + 16.0 + 24.0 * r;
  const auto near = [](const estimate::Index& index, double truth) {
    EXPECT_LT(std::abs(index.value - truth), 6.0 * index.standard_error + 1e-6) << truth;
  };
  ASSERT_EQ(found.slots.size(), 2U);
  near(found.indices[0].first_order, (3.0 + 4.0 * r) * (3.0 + 4.0 * r) / variance);
  near(found.indices[0].total, 9.0 * (1.0 - r * r) / variance);
  near(found.indices[1].first_order, (4.0 + 3.0 * r) * (4.0 + 3.0 * r) / variance);
  near(found.indices[1].total, 16.0 * (1.0 - r * r) / variance);
}

// The old fuel known to hold 43 %, one sd more: the new is normal about 70 + 2 r, sd 2 (1 − r²)^½.
TEST(Correlated, WhatIsKnownTellsOfTheOther) {
  const double rank = 0.7;
  const double r = scenario::score_correlation(rank);
  const Scenario known = scenario::known_at(two_normals(57.5, rank), "heel.content", 0.43);
  const double mean = (43.0 + 2.0 * (70.0 + 2.0 * r)) / 3.0;
  const double sd = 2.0 * 2.0 * std::sqrt(1.0 - r * r) / 3.0;
  const estimate::ChanceResult result = estimate_chance(known, {});
  EXPECT_NEAR(result.outside.chance, numeric::normal_cdf((57.5 - mean) / sd),
              1e-9 + k_bound * result.outside.standard_error);
  EXPECT_NEAR(result.landed.mean, 0.01 * mean, 1e-4);
}

TEST(Correlated, SearchesAgreeWithFreshChances) {
  const Scenario scenario = cases().front().scenario;
  const decide::FillResult fill = decide::solve_fill(scenario, {}, 0.01, 0.1);
  if (fill.safe_amount_l) {
    EXPECT_LE(fill.at_safe->outside.chance, scenario.limits.accepted_risk * 1.02);
  } else {
    EXPECT_FALSE(fill.safe_amount_l);
  }
  const decide::Drivers drivers = decide::find_drivers(scenario, {}, 0.01, 0.1);
  EXPECT_EQ(drivers.inputs.size(), sampling::CaseInputs(scenario).uncertain(99).size());
}

}  // namespace
}  // namespace blendrisk::tank::correlated_test
