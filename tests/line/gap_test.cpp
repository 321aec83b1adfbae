#include "line/gap.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "line/arrival.hpp"
#include "models/transit.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::line::gap_test {
namespace {

using scenario::Override;
using testing::example;
using testing::scenario_of;

std::optional<Gap> gap_of(const scenario::Scenario& scenario) {
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  const Line line(inputs);
  return estimate_gap(line, follow_cases(line, target_of(line), 1U << 14U, {}, 0));
}

/// From 10 % to 85 % through a stirred filter, contents exact.
scenario::Scenario exact_scenario(bool back, const std::vector<Override>& more) {
  return scenario_of("[tank]\ncapacity = 50 L\n[heel]\nindicated = 0 L\ncontent = " +
                         std::string(back ? "90 %" : "10 %") +
                         "\n[fuel]\ncontent = " + (back ? "15 %" : "85 %") +
                         "\n[line]\nfilter = 0.3 L\n[engine]\nidle = 1 L/h\n[limits]\n" +
                         (back ? "maximum = 40 %" : "minimum = 60 %") + "\n",
                     more);
}

// One stirred volume: F = 1 - exp(-q/V), so that the content 0.10 + 0.75 F is left and reached at
// V ln(0.75/(0.85 - content)).
TEST(Gap, OfOneStirredVolumeIsByHand) {
  for (const bool back : {false, true}) {
    const Override before =
        back ? Override{"before.minimum", "70 %"} : Override{"before.maximum", "30 %"};
    const auto gap = gap_of(exact_scenario(back, {before}));
    ASSERT_TRUE(gap && gap->lasts.burn_l && gap->lasts.time_s && gap->leaves.burn_l);
    const double leaves = 0.3 * std::log(0.75 / 0.55);
    const double arrives = 0.3 * std::log(0.75 / 0.25);
    for (std::size_t k = 0; k < 5; ++k) {
      EXPECT_NEAR((*gap->leaves.burn_l)[k], leaves, 1e-8);
      EXPECT_NEAR((*gap->lasts.burn_l)[k], arrives - leaves, 1e-8);
      EXPECT_NEAR((*gap->lasts.time_s)[k], (arrives - leaves) * 3600.0, 1e-4);
    }
    EXPECT_NEAR(gap->some.chance, 1.0, 1e-12);
  }
}

TEST(Gap, IsNoneWhereTheBandsOverlap) {
  const auto gap = gap_of(exact_scenario(false, {{"before.maximum", "65 %"}}));
  ASSERT_TRUE(gap && gap->lasts.burn_l);
  for (const double burn : *gap->lasts.burn_l) EXPECT_EQ(burn, 0.0);
  EXPECT_EQ(gap->some.chance, 0.0);
  const auto wide = gap_of(exact_scenario(false, {{"before.maximum", "90 %"}}));
  EXPECT_FALSE(wide->leaves.burn_l);
  EXPECT_EQ(wide->some.chance, 0.0);
}

TEST(Gap, BeginsAtOnceWhereTheOldFuelFitsNeither) {
  const auto gap = gap_of(exact_scenario(false, {{"before.maximum", "8 %"}}));
  EXPECT_EQ((*gap->leaves.burn_l)[2], 0.0);
  EXPECT_NEAR((*gap->lasts.burn_l)[2], 0.3 * std::log(0.75 / 0.25), 1e-8);
}

TEST(Gap, IsToldOnlyWhereTheOldBandIsGiven) {
  EXPECT_FALSE(gap_of(exact_scenario(false, {})));
}

/// Steps through burned volumes until the injectors have left one band and come into the other:
/// volumes in which neither fits, of cases that arrive, sorted.
std::vector<double> stepped_through(const scenario::Scenario& scenario, double step_l) {
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  const Line line(inputs);
  const estimate::Limit target = target_of(line);
  const auto old_limits = limits_before(scenario);
  const tank::LinearBlend landing(inputs, {});
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs);
  estimate::Workspace space(inputs);
  sampling::Xoshiro numbers(99);
  LineCase one;
  std::vector<double> gaps;
  for (int batch = 0; batch < 60; ++batch) {
    constexpr std::size_t k_cases = 512;
    sampler.draw_crude(numbers, k_cases, space.batch);
    landing.evaluate(space.batch, k_cases, space.columns);
    for (std::size_t i = 0; i < k_cases; ++i) {
      line.load(space.batch, i, one);
      const double old = line.old_content(space.batch, i);
      const double settled = one.settled(space.columns.a()[i], space.columns.total()[i], old);
      if (target.missed_by(settled)) continue;
      double neither = 0.0;
      for (double q = 0.5 * step_l; q < 5.0; q += step_l) {
        const double passed = one.passed({Moment::By::burned, q});
        const double rail = old + (settled - old) * models::residence_cdf(one.to_injectors, passed);
        if (!target.missed_by(rail)) break;
        const bool fits = std::none_of(old_limits.begin(), old_limits.end(),
                                       [&](const estimate::Limit& l) { return l.missed_by(rail); });
        if (!fits) neither += step_l;
      }
      gaps.push_back(neither);
    }
  }
  std::sort(gaps.begin(), gaps.end());
  return gaps;
}

// Within 1 % of the median and of the 95 % point, and four of their own standard errors, taken from
// the order statistics at their ends.
TEST(Gap, IsThatOfCasesSteppedThrough) {
  const scenario::Scenario wagon =
      example("wagon-line.ini", {{"before.maximum", "40 %"}, {"limits.minimum", "62 %"}});
  const auto gap = gap_of(wagon);
  ASSERT_TRUE(gap && gap->lasts.burn_l);
  const std::vector<double> gaps = stepped_through(wagon, 0.002);
  const auto n = static_cast<double>(gaps.size());
  const auto at = [&](double p) { return gaps[static_cast<std::size_t>(p * (n - 1.0))]; };
  for (const auto& [k, p] : {std::pair{std::size_t{2}, 0.5}, std::pair{std::size_t{3}, 0.95}}) {
    const double errors = 4.0 * std::sqrt(p * (1.0 - p) / n);
    const double own = (*gap->lasts.burn_l)[k];
    EXPECT_GE(own, 0.99 * at(p - errors) - 0.002) << p;
    EXPECT_LE(own, 1.01 * at(p + errors) + 0.002) << p;
  }
  // The twin: of another old calibration.
  const auto other =
      gap_of(example("wagon-line.ini", {{"before.maximum", "45 %"}, {"limits.minimum", "62 %"}}));
  EXPECT_LT((*other->lasts.burn_l)[2], 0.99 * at(0.48) - 0.002);
}

}  // namespace
}  // namespace blendrisk::line::gap_test
