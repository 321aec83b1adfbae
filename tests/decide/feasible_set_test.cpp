#include "decide/feasible_set.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "decide/variants.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::decide {
namespace {

/// Of four fills the first reading hardly matters: the chance is flat. In the grid of readings that
/// of landing above 9.6459 % goes from 4.99 to 5.15 %.
scenario::Scenario flat(double risk) {
  scenario::Scenario scenario = testing::scenario_of(
      "[tank]\ncapacity = 45 L\nclick-off = uniform(43.5 L, 45.9 L)\n"
      "[heel]\nindicated = 10.7 L\ncontent = student(78 %, 1 %, 3.5)\n"
      "[fuel]\ncontent = student(10.4 %, 0.1 %, 3.7)\n[fill]\namount = 23.5 L\n"
      "[fill-2]\ncontent = student(9.3 %, 0.2 %, 3.5)\nindicated = 14 L\namount = 20 L\n"
      "[fill-3]\ncontent = student(8.86 %, 0.37 %, 4.4)\n"
      "burn-first = trapezoidal(26 L, 29 L, 30 L, 32 L)\namount = 30 L\n"
      "[limits]\nmaximum = 13 %\n");
  scenario.limits.accepted_risk = risk;
  return scenario;
}

struct Searched {
  Acceptable found;
  std::uint64_t evaluations = 0;
};

Searched searched(const scenario::Scenario& scenario, Ends ends) {
  tank::CommonRandomNumbers points(scenario, 1, 4);
  Searched result;
  result.found = acceptable(points, put_indicated, 0.0, scenario.tank.capacity_l, 0.1,
                            scenario.limits.accepted_risk, {}, ends);
  result.evaluations = points.evaluations();
  return result;
}

/// The chance in the middle of the range.
double at_middle() {
  const scenario::Scenario scenario = flat(0.01);
  tank::CommonRandomNumbers points(scenario, 1, 4);
  put_indicated(points.scenario(), 0.5 * scenario.tank.capacity_l);
  points.fit();
  points.resize(11);
  return points.own_sides().outside();
}

// 33 points of a grid that are told on 16 x 2^11 points each take more than a million.
TEST(FeasibleSet, OfAFlatCurveFewPointsTakeMany) {
  const double risk = at_middle();
  const scenario::Scenario scenario = flat(risk);
  const Searched all = searched(scenario, Ends::all);
  EXPECT_LT(all.evaluations, 1'000'000U);
  ASSERT_FALSE(all.found.spans.empty());
  tank::CommonRandomNumbers points(scenario, 1, 4);
  const auto chance = [&](double x) {
    put_indicated(points.scenario(), x);
    points.fit();
    points.resize(11);
    return points.own_sides();
  };
  // At an end the chance is the risk, or that of the range's end within it.
  for (const Span& span : all.found.spans) {
    for (const double end : {span.low, span.high}) {
      const tank::Sides sides = chance(end);
      const double reach = 5.0 * std::sqrt(sides.variance);
      const bool of_range = end == 0.0 || end == scenario.tank.capacity_l;
      EXPECT_LT(sides.outside() - reach, risk) << end;
      EXPECT_TRUE(of_range || sides.outside() + reach > risk) << end;
    }
  }
}

// The end that is asked for alone is that of the whole, and costs less.
TEST(FeasibleSet, OneEndIsThatOfAll) {
  const scenario::Scenario scenario = testing::example("sedan.ini");
  const Searched all = searched(scenario, Ends::all);
  const Searched highest = searched(scenario, Ends::highest);
  const Searched lowest = searched(scenario, Ends::lowest);
  ASSERT_FALSE(all.found.spans.empty());
  ASSERT_FALSE(highest.found.spans.empty());
  ASSERT_FALSE(lowest.found.spans.empty());
  EXPECT_NEAR(highest.found.spans.back().high, all.found.spans.back().high, 0.01);
  EXPECT_NEAR(lowest.found.spans.front().low, all.found.spans.front().low, 0.01);
  EXPECT_LT(highest.evaluations, all.evaluations);
  EXPECT_LT(lowest.evaluations, all.evaluations);
}

}  // namespace
}  // namespace blendrisk::decide
