#include "decide/fill.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "decide/sweep.hpp"
#include "decide/variants.hpp"
#include "tank/integrands.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::decide::fill_test {
namespace {

using testing::example;
using testing::scenario_of;
using Overrides = std::vector<scenario::Override>;

constexpr double k_step = 0.01;

FillResult solve(const scenario::Scenario& scenario) {
  return solve_fill(scenario, {}, k_step, 0.1);
}

/// Exact heel of 6 L of 10 %, exact pump of 80 %, minimum 65 %, a tank with room.
constexpr const char* k_plain =
    "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
    "[fuel]\ncontent = 80 %\n[limits]\nminimum = 65 %\n";

double up(double amount) {
  return std::ceil(amount / k_step) * k_step;
}

// By hand: D = H (L − c_h)/(c_p − L) = 6 · 0.55/0.15 = 22 L; nothing uncertain, no margin.
TEST(Fill, NothingUncertainHasNoMargin) {
  const FillResult result = solve(scenario_of(k_plain));
  EXPECT_NEAR(*result.nominal_amount_l, 22.0, 1e-9);
  EXPECT_NEAR(*result.safe_amount_l, 22.0, 1e-9);
  EXPECT_NEAR(*result.margin_l, 0.0, 1e-12);
  EXPECT_EQ(result.at_safe->outside.chance, 0.0);
  EXPECT_FALSE(result.largest_amount_l);
  EXPECT_NEAR(result.room_l, 54.0, 1e-9);
}

// 6.001 · 0.55/0.15 = 22.0037. The amount by arithmetic has no fresh estimate after it to mend a
// rounding the wrong way.
TEST(Fill, AmountsAreRoundedUp) {
  const scenario::Scenario scenario = scenario_of(k_plain, {{"heel.indicated", "6.001 L"}});
  const FillResult result = solve(scenario);
  EXPECT_NEAR(*result.nominal_amount_l, 22.01, 1e-9);
  EXPECT_NEAR(*result.safe_amount_l, 22.01, 1e-9);
  EXPECT_NEAR(*safe_amount(scenario, {}, k_step).value, 22.01, 1e-9);
}

// A normal pump over a fixed heel: D = H (L − c_h)/(μ − z σ − L), z the normal quantile of
// 1 − risk; z σ is the one-sided guard band of JCGM 106:2012 (from memory). Quantiles 1.2815516,
// 2.3263479 and 3.0902323 (computed: statistics.NormalDist of Python).
TEST(Fill, NormalPumpFollowsTheGuardBand) {
  const double quantiles[][2] = {{0.1, 1.2815516}, {0.01, 2.3263479}, {0.001, 3.0902323}};
  for (const auto& [risk, z] : quantiles) {
    const FillResult result = solve(
        scenario_of(k_plain, {{"tank.capacity", "90 L"},
                              {"fuel.content", "normal(80 %, 3 %)"},
                              {"limits.accepted-risk", std::to_string(100.0 * risk) + " %"}}));
    const double wanted = 6.0 * 0.55 / (0.80 - z * 0.03 - 0.65);
    EXPECT_NEAR(*result.safe_amount_l, up(wanted), 1e-9) << risk;
    EXPECT_NEAR(*result.nominal_amount_l, 22.0, 1e-9);
    EXPECT_NEAR(*result.margin_l, up(wanted) - 22.0, 1e-9);
  }
}

// The tolerance of a dispenser in use, ±0.5 % (OIML R 117-1, NIST Handbook 44 section 3.30; the
// percentage from memory), as the only uncertainty, equally likely within: at a risk of 1 % the
// meter gives 0.49 % too little, so 22 L become 22 / 0.9951 L.
TEST(Fill, MeterToleranceAlone) {
  const FillResult result =
      solve(scenario_of(k_plain, {{"fuel.meter-error", "uniform(-0.5 %, 0.5 %)"}}));
  EXPECT_NEAR(*result.safe_amount_l, up(22.0 / 0.9951), 1e-9);
  EXPECT_NEAR(*result.margin_l, 0.11, 1e-9);
}

// The other way: 15 L of 80 % with a fuel of 10 % and a maximum of 30 %: D = 15 · 0.5/0.2 = 37.5 L.
TEST(Fill, BackToGasoline) {
  const auto result =
      solve(scenario_of("[tank]\ncapacity = 60 L\n[heel]\nindicated = 15 L\ncontent = 80 %\n"
                        "[fuel]\ncontent = 10 %\n[limits]\nmaximum = 30 %\n"));
  EXPECT_NEAR(*result.safe_amount_l, 37.5, 1e-9);
}

// Both limits with an exact pump: at least 22 L for 65 %, at most H (M − c_h)/(c_p − M) = 6 ·
// 0.6/0.1 = 36 L for 70 %. A normal pump narrows both, by hand at half the risk each only roughly:
// both ends have to meet the risk, and a step beyond them not.
TEST(Fill, TheOtherLimitBoundsTheAmount) {
  const FillResult exact = solve(scenario_of(k_plain, {{"limits.maximum", "70 %"}}));
  EXPECT_NEAR(*exact.safe_amount_l, 22.0, 1e-9);
  ASSERT_TRUE(exact.largest_amount_l);
  EXPECT_NEAR(*exact.largest_amount_l, 36.0, 1e-9);
  const auto scenario =
      scenario_of(k_plain, {{"limits.maximum", "70 %"}, {"fuel.content", "normal(80 %, 0.5 %)"}});
  const FillResult result = solve(scenario);
  ASSERT_TRUE(result.safe_amount_l && result.largest_amount_l);
  EXPECT_GT(*result.safe_amount_l, 22.0);
  EXPECT_LT(*result.largest_amount_l, 36.0);
  const auto outside = [&](double amount) {
    scenario::Scenario at = scenario;
    put_amount(at, amount);
    return tank::estimate_outside(at, {}).estimate.chance;
  };
  EXPECT_LE(outside(*result.largest_amount_l), 0.01);
  EXPECT_GT(outside(*result.largest_amount_l + k_step), 0.01);
  EXPECT_GT(outside(*result.safe_amount_l - k_step), 0.01);
}

/// Scenarios of many kinds that some amount satisfies.
std::vector<scenario::Scenario> solvable() {
  return {example("sedan.ini", {{"limits.minimum", "58 %"}}),
          example("benchmark.ini", {{"limits.minimum", "66 %"}}),
          example("hatchback-metered.ini", {{"limits.minimum", "48 %"}}),
          example("wagon-reading.ini", {{"limits.minimum", "62 %"}}),
          example("back-to-gasoline.ini", {{"limits.maximum", "32 %"}}),
          example("van-two-fills.ini"),
          example("van-two-fills.ini", {{"fill-2.indicated", "20 L"}})};
}

// At the safe amount the chance is within the risk, one step less it is not, within what the search
// and the fresh estimate that it has to agree with know of the chance (0.4 % for two fills, the
// others a tenth of it); twenty steps less it is not at all.
TEST(Fill, IsTheSmallestAmountWithinTheRisk) {
  for (const auto& scenario : solvable()) {
    const FillResult result = solve(scenario);
    ASSERT_TRUE(result.safe_amount_l) << scenario.title;
    const double risk = scenario.limits.accepted_risk;
    EXPECT_LE(result.at_safe->outside.chance, risk) << scenario.title;
    estimate::Options fine;
    fine.precision = 1e-3;
    fine.seed = 77;
    const auto outside = [&](double amount) {
      scenario::Scenario at = scenario;
      put_amount(at, amount);
      return tank::estimate_outside(at, fine).estimate.chance;
    };
    EXPECT_LE(outside(*result.safe_amount_l), risk * (1.0 + 1e-3)) << scenario.title;
    EXPECT_GT(outside(*result.safe_amount_l - k_step), risk * (1.0 - 5e-3)) << scenario.title;
    EXPECT_GT(outside(*result.safe_amount_l - 20 * k_step), risk) << scenario.title;
  }
}

TEST(Fill, AgreesWithChance) {
  for (auto scenario : solvable()) {
    const FillResult result = solve(scenario);
    put_amount(scenario, *result.safe_amount_l);
    const auto chance = tank::estimate_chance(scenario, {});
    EXPECT_EQ(result.at_safe->outside.chance, chance.outside.chance);
    EXPECT_TRUE(chance.met);
  }
}

TEST(Fill, FallsAsTheRiskIsRelaxed) {
  for (auto scenario : solvable()) {
    double last = 1e9;
    for (const double risk : {0.012, 0.02, 0.05, 0.2}) {
      scenario.limits.accepted_risk = risk;
      const FillResult result = solve(scenario);
      if (!result.safe_amount_l) continue;
      EXPECT_LT(*result.safe_amount_l, last) << scenario.title << ' ' << risk;
      last = *result.safe_amount_l;
    }
    EXPECT_LT(last, 1e9);
  }
}

// Each input's spread in turn, wider by half, moves the safe amount up (never down) and leaves the
// arithmetic alone.
TEST(Fill, MarginGrowsWithEveryWidenedInput) {
  const std::string base =
      "[tank]\ncapacity = 60 L\nclick-off = normal(60 L, 0.5 L)\n"
      "[heel]\nindicated = 6 L\ngauge-error = normal(0 L, 1 L)\ncontent = normal(10 %, 2 %)\n"
      "[fuel]\ncontent = normal(80 %, 2 %)\nhose-volume = normal(1 L, 0.2 L)\n"
      "meter-error = normal(0 %, 0.5 %)\nhose-content = normal(10 %, 2 %)\n"
      "[limits]\nminimum = 65 %\n";
  const FillResult narrow = solve(scenario_of(base));
  for (const scenario::Override& wider : Overrides{{"heel.gauge-error", "normal(0 L, 1.5 L)"},
                                                   {"heel.content", "normal(10 %, 3 %)"},
                                                   {"fuel.content", "normal(80 %, 3 %)"},
                                                   {"fuel.hose-volume", "normal(1 L, 0.3 L)"},
                                                   {"fuel.meter-error", "normal(0 %, 3 %)"},
                                                   {"fuel.hose-content", "normal(10 %, 9 %)"}}) {
    const FillResult wide = solve(scenario_of(base, {wider}));
    EXPECT_EQ(*wide.nominal_amount_l, *narrow.nominal_amount_l) << wider.key;
    EXPECT_GE(*wide.margin_l, *narrow.margin_l) << wider.key;
  }
  const FillResult pump = solve(scenario_of(base, {{"fuel.content", "normal(80 %, 3 %)"}}));
  EXPECT_GT(*pump.margin_l, *narrow.margin_l + 1.0);
}

TEST(Fill, MarginCostsItsPrice) {
  const FillResult result =
      solve(example("sedan.ini", {{"limits.minimum", "58 %"}, {"fuel.price", "0.92 /L"}}));
  EXPECT_NEAR(*result.margin_cost, 0.92 * *result.margin_l, 1e-12);
}

// The same car in US gallons: 1 gal = 3.785411784 L. Steps of 0.01 L in both.
TEST(Fill, UsAndMetricScenariosAgree) {
  const std::string limits = "[limits]\nminimum = 65 %\n";
  const auto metric = scenario_of(
      "[tank]\ncapacity = 56.78117676 L\n[heel]\nindicated = 7.570823568 L\ncontent = 10 %\n"
      "gauge-error = normal(0 L, 0.946352946 L)\n[fuel]\ncontent = normal(80 %, 2 %)\n" +
      limits);
  const auto us = scenario_of(
      "[tank]\ncapacity = 15 gal\n[heel]\nindicated = 2 gal\ncontent = 10 %\n"
      "gauge-error = normal(0 gal, 0.25 gal)\n[fuel]\ncontent = normal(80 %, 2 %)\n" +
      limits);
  EXPECT_EQ(*solve(metric).safe_amount_l, *solve(us).safe_amount_l);
}

// No amount of the sedan's pump will do: what would is checked by doing it.
TEST(Fill, SaysWhatWouldDoInstead) {
  const auto scenario = example("sedan.ini");
  const FillResult result = solve(scenario);
  EXPECT_FALSE(result.safe_amount_l);
  EXPECT_TRUE(result.instead);
  ASSERT_TRUE(result.instead && result.instead->highest_heel_l && result.instead->second_heel_l &&
              result.instead->tested_content);
  const auto chance = [](const scenario::Scenario& at) {
    return tank::estimate_outside(at, {}).estimate.chance;
  };
  EXPECT_NEAR(result.instead->least_chance, chance(scenario), 0.01 * chance(scenario));
  scenario::Scenario emptier = scenario;
  put_indicated(emptier, *result.instead->highest_heel_l);
  EXPECT_LE(chance(emptier), 0.0101);
  const auto two = two_fills_to_click_off(scenario, *result.instead->second_heel_l);
  EXPECT_LE(chance(two), 0.0101);
  EXPECT_GT(chance(two_fills_to_click_off(scenario, *result.instead->second_heel_l + 0.5)), 0.01);
  scenario::Scenario tested = scenario;
  tested.fills.back().content = distributions::exact(*result.instead->tested_content);
  EXPECT_LE(chance(tested), 0.0101);
  tested.fills.back().content = distributions::exact(*result.instead->tested_content - 0.002);
  EXPECT_GT(chance(tested), 0.01);
}

// One of ten measured contents misses from a certain amount on, at a risk of just 10 %: 60 % misses
// always, 70 % not from D = 6 (0.65 − 0.1)/(0.70 − 0.65) = 66 L on, the next, 75 %, from 33 L on.
TEST(Fill, AChanceJustAtTheRiskIsWithinIt) {
  const auto scenario = scenario::read(
      {"test.ini",
       "[tank]\ncapacity = 90 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n[fuel]\n"
       "content = measured(\"a.csv\", \"content_percent\")\n"
       "[limits]\nminimum = 65 %\naccepted-risk = 10 %\n"},
      {}, [](const std::string&) {
        return std::string("content_percent\n60\n75\n75\n76\n77\n78\n79\n80\n81\n82\n");
      });
  EXPECT_NEAR(*solve(scenario).safe_amount_l, 33.0, 1e-9);
}

// What is called safe is so by the estimate beside it, and what is said to be impossible is, close
// to where no amount is enough: minima about the one that a full tank just meets.
TEST(Fill, NeverContradictsItsOwnEstimate) {
  for (const char* minimum : {"59.20 %", "59.26 %", "59.29 %", "59.31 %", "59.33 %", "59.40 %"}) {
    const auto scenario = example("sedan.ini", {{"limits.minimum", minimum}});
    const FillResult result = solve(scenario);
    const double full = tank::estimate_outside(scenario, {}).estimate.chance;
    if (result.safe_amount_l) {
      EXPECT_LE(result.at_safe->outside.chance, 0.01 * (1.0 + 1e-9)) << minimum;
      EXPECT_LT(full, 0.01 * 1.01) << minimum;
    } else {
      EXPECT_GT(full, 0.01 * 0.99) << minimum;
    }
  }
}

// Readings in advice are safe as they are shown, in gallons too: a tenth of a gallon is 0.3785 L,
// and 4.4 L must not become 1.2 gal, which is 4.54 L.
TEST(Fill, AdviceIsSafeInTheUnitsItIsShownIn) {
  constexpr double k_gallon = 3.785411784;
  for (const char* minimum : {"60.5 %", "61 %", "61.5 %", "62 %"}) {
    const auto scenario = example("sedan.ini", {{"limits.minimum", minimum}});
    const FillResult metric = solve_fill(scenario, {}, 0.01, 0.1);
    const FillResult us = solve_fill(scenario, {}, 0.001 * k_gallon, 0.1 * k_gallon);
    ASSERT_TRUE(us.instead && us.instead->highest_heel_l && us.instead->second_heel_l) << minimum;
    const auto shown = [](double reading) {
      return std::round(reading / k_gallon * 10.0) / 10.0 * k_gallon;
    };
    EXPECT_LE(shown(*us.instead->highest_heel_l), *metric.instead->highest_heel_l + 0.1) << minimum;
    EXPECT_LE(shown(*us.instead->second_heel_l), *metric.instead->second_heel_l + 0.1) << minimum;
    scenario::Scenario emptier = scenario;
    put_indicated(emptier, shown(*us.instead->highest_heel_l));
    EXPECT_LE(tank::estimate_outside(emptier, {}).estimate.chance, 0.0101) << minimum;
  }
}

// The search alone is off by two steps here: the risk is asked at a kink of the meter's law.
TEST(Fill, AdviceHoldsByAFreshEstimate) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 49.9977 L\nclick-off = normal(49.9977 L, 0.528147 L)\n"
      "[heel]\nindicated = 9.97095914589952 L\n"
      "gauge-error = triangular(-1.17296 L, -1.14434 L, 0.226819 L)\n"
      "content = normal(73.6517 %, 1.40514 %) in [71.9505 %, 75.7544 %]\n"
      "[fuel]\ncontent = normal(9.57845 %, 0.430333 %) in [8.74479 %, 10.5771 %]\n"
      "meter-error = trapezoidal(-2.13396 %, -1.77652 %, 0.0938942 %, 1.94404 %)\n"
      "[fill]\namount = 41.744 L\n[limits]\nmaximum = 22.0980 %\naccepted-risk = 5.91 %\n");
  const FillResult result = solve(scenario);
  ASSERT_TRUE(result.instead);
  ASSERT_TRUE(result.instead->second_heel_l);
  const double second = *result.instead->second_heel_l;
  const double risk = scenario.limits.accepted_risk;
  const auto chance = [&](double reading) {
    return tank::estimate_outside(two_fills_to_click_off(scenario, reading), {}).estimate.chance;
  };
  EXPECT_LE(chance(second), risk * 1.005);
  EXPECT_GT(chance(second + 0.2), risk);
}

TEST(Fill, RoundsToWhatADispenserShows) {
  EXPECT_EQ(rounded_up(49.361, 0.01), 49.37);
  EXPECT_EQ(rounded_up(22.000000001, 0.01), 22.0);
  EXPECT_EQ(rounded_down(49.369, 0.01), 49.36);
  EXPECT_EQ(rounded_down(21.999999999, 0.01), 22.0);
  EXPECT_NEAR(rounded_up(3.79, 0.003785411784) / 0.003785411784, 1002.0, 1e-9);
}

// Five measured contents bear no chance below 1/6: no amount, no reading and no cell is advised for
// a smaller risk; for a greater one all are, and hold by a fresh estimate.
TEST(Fill, MeasuredValuesAreNotTrustedBeyondWhatTheyBear) {
  const auto scenario_at = [](const char* risk) {
    return example("sedan.ini", {{"fuel.content", "measured(\"a.csv\", \"content_percent\")"},
                                 {"limits.minimum", "52 %"},
                                 {"limits.accepted-risk", risk}});
  };
  for (const char* risk : {"1 %", "16 %"}) {
    const auto scenario = scenario_at(risk);
    const FillResult result = solve(scenario);
    EXPECT_FALSE(result.safe_amount_l) << risk;
    ASSERT_TRUE(result.instead) << risk;
    EXPECT_NEAR(result.instead->least_chance, 1.0 / 6.0, 0.001) << risk;
    EXPECT_FALSE(result.instead->highest_heel_l) << risk;
    EXPECT_FALSE(swept(scenario, {Show::amount, 0.01}, {}).litres) << risk;
    EXPECT_FALSE(swept(scenario, {Show::heel, 0.1}, {}).litres) << risk;
    EXPECT_TRUE(swept(scenario, {Show::chance, 0.1}, {}).chance->few_values) << risk;
    EXPECT_FALSE(solve_heel(scenario, {}, 0.1).highest_indicated_l) << risk;
  }
  const auto scenario = scenario_at("18 %");
  const FillResult result = solve(scenario);
  ASSERT_TRUE(result.safe_amount_l);
  EXPECT_LE(result.at_safe->outside.chance, 0.18);
  EXPECT_TRUE(swept(scenario, {Show::amount, 0.01}, {}).litres);
  EXPECT_TRUE(solve_heel(scenario, {}, 0.1).highest_indicated_l);
}

}  // namespace
}  // namespace blendrisk::decide::fill_test
