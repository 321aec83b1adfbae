#include <gtest/gtest.h>

#include <cmath>

#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

// The fast path against crude Monte Carlo, which knows nothing of conditioning, tilt or Sobol'
// points.
namespace blendrisk::tank {
namespace {

struct Case {
  const char* name;
  const char* example;
  std::vector<scenario::Override> changes;
};

const std::vector<Case>& cases() {
  static const std::vector<Case> all{
      {"benchmark", "benchmark.ini", {}},
      {"both sides", "benchmark.ini", {{"limits.maximum", "76 %"}}},
      {"student pump", "benchmark.ini", {{"fuel.content", "student(80 %, 2 %, 3)"}}},
      {"tests", "benchmark.ini", {{"fuel.content", "tests(78 %, 74 %, 81 %, 77 %)"}}},
      {"beta pump", "benchmark.ini", {{"fuel.content", "beta(60 %, 85 %, 5, 2)"}}},
      {"arcsine heel", "benchmark.ini", {{"heel.content", "arcsine(0 %, 40 %)"}}},
      {"trapezoidal", "benchmark.ini", {{"fuel.content", "trapezoidal(68 %, 74 %, 80 %, 83 %)"}}},
      {"measured pump",
       "benchmark.ini",
       {{"fuel.content", "measured(\"a.csv\", \"content_percent\")"}}},
      {"measured heel",
       "benchmark.ini",
       {{"heel.content", "measured(\"a.csv\", \"content_percent\")"},
        {"fuel.content", "80 %"},
        {"limits.minimum", "79 %"}}},
      {"student gauge", "benchmark.ini", {{"heel.gauge-error", "student(0 L, 1.5 L, 4)"}}},
      {"far-off gauge", "benchmark.ini", {{"heel.gauge-error", "normal(-4 L, 6 L)"}}},
      {"held contents",
       "benchmark.ini",
       {{"fuel.content", "normal(92 %, 8 %)"}, {"limits.minimum", "80 %"}}},
      {"held hose", "benchmark.ini", {{"fuel.hose-volume", "normal(0.5 L, 1 L)"}}},
      {"big hose",
       "benchmark.ini",
       {{"heel.indicated", "58 L"},
        {"heel.content", "uniform(68 %, 72 %)"},
        {"fuel.hose-volume", "uniform(0 L, 4 L)"}}},
      {"metered",
       "benchmark.ini",
       {{"fill.amount", "50 L"}, {"fuel.meter-error", "normal(0 %, 3 %)"}}},
      {"small amount",
       "benchmark.ini",
       {{"heel.content", "uniform(60 %, 80 %)"}, {"fill.amount", "2 L"}}},
      {"reading", "wagon-reading.ini", {}},
      {"reading near zero", "wagon-reading.ini", {{"heel.reading", "2 %"}}},
      {"reading, exact pump", "wagon-reading.ini", {{"fuel.content", "78 %"}}},
      {"back", "back-to-gasoline.ini", {}},
      {"two fills", "van-two-fills.ini", {{"limits.minimum", "66 %"}}},
      {"two fills by the gauge",
       "van-two-fills.ini",
       {{"limits.minimum", "64 %"}, {"fill-2.indicated", "24 L"}, {"tank.pickup-floor", "22 L"}}},
      {"two fills, dry after driving",
       "van-two-fills.ini",
       {{"limits.minimum", "66 %"}, {"tank.pickup-floor", "17 L"}}},
      {"hatchback", "hatchback-metered.ini", {}},
      {"exact contents",
       "benchmark.ini",
       {{"heel.content", "30 %"}, {"fuel.content", "78 %"}, {"fuel.hose-content", "10 %"}}},
      {"exact contents, metered",
       "benchmark.ini",
       {{"heel.content", "30 %"},
        {"fuel.content", "78 %"},
        {"fuel.hose-content", "10 %"},
        {"fill.amount", "53 L"},
        {"limits.maximum", "74 %"}}},
      {"mirrored fuels",
       "benchmark.ini",
       {{"heel.content", "80 %"},
        {"fuel.content", "10 %"},
        {"fuel.hose-content", "85 %"},
        {"heel.indicated", "40 L"},
        {"limits.minimum", "55 %"},
        {"limits.maximum", "60 %"}}},
  };
  return all;
}

/// Standard errors between the two answers; a pair without error must be equal.
double apart(const estimate::Estimate& a, const estimate::Estimate& b) {
  const double error = std::hypot(a.standard_error, b.standard_error);
  const double difference = std::abs(a.chance - b.chance);
  return difference == 0.0 ? 0.0 : difference / error;
}

estimate::ChanceResult counted_crudely(const scenario::Scenario& scenario, std::uint64_t n) {
  estimate::Options crude;
  crude.method = estimate::Method::crude;
  crude.cases = n;
  return estimate_chance(scenario, crude);
}

// Held to 5 standard errors: a false alarm in 6e-7 of comparisons (counting) and 2e-4 (t of 15
// degrees where the other side is the wider), some 80 of them; seeds fixed.
TEST(Agreement, FastPathAndCounting) {
  for (const Case& one : cases()) {
    const auto scenario = testing::example(one.example, one.changes);
    const estimate::ChanceResult fast = estimate_chance(scenario, {});
    const estimate::ChanceResult slow = counted_crudely(scenario, 1'000'000);
    EXPECT_GT(slow.outside.chance, 1e-4) << one.name << ": counting sees too little to compare";
    EXPECT_LT(slow.outside.chance, 0.9999) << one.name;
    EXPECT_LT(apart(fast.outside, slow.outside), 5.0)
        << one.name << ' ' << fast.outside.chance << ' ' << slow.outside.chance;
    if (fast.below_minimum) {
      EXPECT_LT(apart(*fast.below_minimum, *slow.below_minimum), 5.0) << one.name;
    }
    if (fast.above_maximum) {
      EXPECT_LT(apart(*fast.above_maximum, *slow.above_maximum), 5.0) << one.name;
    }
    EXPECT_LE(fast.outside.standard_error, 0.0101 * fast.outside.chance) << one.name;
    if (slow.run_dry.chance > 0.0) {
      EXPECT_LT(apart(fast.run_dry, slow.run_dry), 5.0) << one.name;
    }
    if (fast.clicked_off_early && slow.clicked_off_early->chance > 0.0) {
      EXPECT_LT(apart(*fast.clicked_off_early, *slow.clicked_off_early), 5.0) << one.name;
    }
  }
}

// The comparison sees a pump that is off by half a point, or a gauge that is off by a litre.
TEST(Agreement, WouldSeeAWrongModel) {
  const auto slow = counted_crudely(testing::example("benchmark.ini"), 1'000'000);
  for (const scenario::Override& wrong :
       {scenario::Override{"fuel.content", "normal(80.5 %, 3 %) in [51 %, 83 %]"},
        scenario::Override{"heel.indicated", "6.5 L"},
        scenario::Override{"heel.gauge-error", "normal(0 L, 1.7 L)"}}) {
    const auto fast = estimate_chance(testing::example("benchmark.ini", {wrong}), {});
    EXPECT_GT(apart(fast.outside, slow.outside), 5.0) << wrong.key;
  }
}

}  // namespace
}  // namespace blendrisk::tank
