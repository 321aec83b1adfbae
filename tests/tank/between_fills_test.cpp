#include "tank/between_fills.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "sampling/joint_sampler.hpp"
#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::tank {
namespace {

using sampling::Slot;

TEST(BetweenFills, OneFillHasNone) {
  EXPECT_TRUE(between_fills(testing::example("benchmark.ini"), {}).empty());
}

// The first fill by plain arithmetic over pseudo-random cases of the whole scenario, hose left out
// as the example does; 4.5 standard errors, falsely in 1e-5 each.
TEST(BetweenFills, AgreesWithPlainArithmetic) {
  constexpr std::size_t k_cases = 1U << 16U;
  const auto scenario = testing::example("van-two-fills.ini", {{"limits.minimum", "52 %"}});
  const auto legs = between_fills(scenario, {});
  ASSERT_EQ(legs.size(), 1U);
  const sampling::CaseInputs inputs(scenario);
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs);
  sampling::Xoshiro numbers(7);
  sampling::CaseBatch batch(inputs, k_cases);
  sampler.draw_crude(numbers, k_cases, batch);
  double sum = 0.0;
  double squares = 0.0;
  double below = 0.0;
  for (std::size_t i = 0; i < k_cases; ++i) {
    const double full = batch.column(Slot::click_off)[i];
    const double heel = std::clamp(25.0 + batch.column(Slot::gauge_error)[i], 0.0, full);
    const double added =
        std::min(45.0 * (1.0 + batch.column(Slot::meter_error(0))[i]), full - heel);
    const double content =
        (heel * batch.column(Slot::old_fuel)[i] + added * batch.column(Slot::content(0))[i]) /
        (heel + added);
    sum += content;
    squares += content * content;
    below += content < 0.52 ? 1.0 : 0.0;
  }
  const auto n = static_cast<double>(k_cases);
  const double mean = sum / n;
  const double sd = std::sqrt(squares / n - mean * mean);
  const double share = below / n;
  EXPECT_NEAR(legs[0].landed.mean, mean, 4.5 * sd / std::sqrt(n));
  EXPECT_NEAR(legs[0].limits.outside.chance, share,
              4.5 * std::hypot(std::sqrt(share * (1.0 - share) / n),
                               legs[0].limits.outside.standard_error));
  EXPECT_NEAR(legs[0].landed.standard_deviation / sd, 1.0, 4.5 / std::sqrt(2.0 * n));
}

/// A first fill of 45 L into 25 L of 8 %, all exact but the pump: what lands is uniform, by hand
/// (2 L + 45 L c) / 70 L with c from 70 to 83 %.
estimate::Leg metered_leg(const std::string& minimum, const std::string& before_maximum) {
  const auto legs =
      between_fills(testing::example("van-two-fills.ini", {{"tank.click-off", "75 L"},
                                                           {"heel.gauge-error", "0 L"},
                                                           {"heel.content", "8 %"},
                                                           {"fuel.meter-error", "0 %"},
                                                           {"limits.minimum", minimum},
                                                           {"before.maximum", before_maximum}}),
                    {});
  EXPECT_EQ(legs.size(), 1U);
  return legs.at(0);
}

// Exact arithmetic; what an estimate given all inputs but the pump's content is off by.
TEST(BetweenFills, ChancesAgainstBothBandsAreThoseOfAUniformContent) {
  const auto content_for = [](double landed) { return (70.0 * landed - 2.0) / 45.0; };
  const estimate::Leg leg = metered_leg("48 %", "56 %");
  EXPECT_NEAR(leg.limits.outside.chance, (content_for(0.48) - 0.70) / 0.13, 1e-9);
  ASSERT_TRUE(leg.before);
  EXPECT_NEAR(leg.before->outside.chance, (0.83 - content_for(0.56)) / 0.13, 1e-9);
  EXPECT_NEAR(leg.before->above_maximum->chance, leg.before->outside.chance, 1e-12);
  EXPECT_FALSE(leg.before->below_minimum);
  EXPECT_FALSE(leg.limits.above_maximum);
}

// By hand as above: 0.15 and 1.7 % below the minima, 0.8 and 2.6 % above the maxima, of 1 %.
TEST(BetweenFills, WhatFitsIsWithinTheAcceptedRisk) {
  using estimate::Fits;
  EXPECT_EQ(metered_leg("47.87 %", "56.15 %").fits, Fits::both);
  EXPECT_EQ(metered_leg("47.87 %", "56 %").fits, Fits::new_one);
  EXPECT_EQ(metered_leg("48 %", "56.15 %").fits, Fits::old_one);
  EXPECT_EQ(metered_leg("48 %", "56 %").fits, Fits::neither);
}

TEST(BetweenFills, WithoutTheOldBandNothingIsSaidOfIt) {
  const auto legs = between_fills(testing::example("van-one-supplier.ini"), {});
  ASSERT_EQ(legs.size(), 1U);
  EXPECT_FALSE(legs[0].before);
  EXPECT_FALSE(legs[0].fits);
}

// As the scenario that ends with the fill tells it, with running dry left out, on any threads.
TEST(BetweenFills, IsWhatTheScenarioUpToThereTells) {
  const auto scenario = testing::example("van-two-fills.ini", {{"before.maximum", "20 %"}});
  estimate::Options options;
  scenario::Scenario part = scenario;
  part.fills.resize(1);
  const estimate::ChanceResult there = estimate_chance(part, options);
  for (const unsigned threads : {1U, 2U, 5U}) {
    options.threads = threads;
    const auto legs = between_fills(scenario, options);
    ASSERT_EQ(legs.size(), 1U);
    EXPECT_EQ(legs[0].limits.outside.chance, there.outside.chance);
    EXPECT_EQ(legs[0].limits.outside.interval, there.outside.interval);
    EXPECT_EQ(legs[0].limits.met, there.met);
    EXPECT_EQ(legs[0].landed.quantiles, there.landed.quantiles);
    ASSERT_TRUE(legs[0].before);
    EXPECT_NE(legs[0].before->outside.chance, there.outside.chance);
  }
}

// What later fills showed does not reach back.
TEST(BetweenFills, FiguresOfLaterFillsDoNotCount) {
  const auto planned = between_fills(testing::example("van-two-fills.ini"), {});
  const auto done =
      between_fills(testing::example("van-two-fills.ini", {{"fill.shown", "45 L"},
                                                           {"fill.stopped-by", "hand"},
                                                           {"fill-2.shown", "55 L"},
                                                           {"fill-2.stopped-by", "click-off"}}),
                    {});
  EXPECT_NEAR(done[0].landed.mean, planned[0].landed.mean, 1e-3);
}

// At once with what else is asked, and the error of that first.
TEST(BetweenFills, BesideAnotherAnswerAreTheSame) {
  const auto scenario = testing::example("van-two-fills.ini");
  const estimate::ChanceResult alone = estimate_chance(scenario, {});
  const auto legs = between_fills(scenario, {});
  for (const unsigned threads : {1U, 2U, 5U}) {
    estimate::Options options;
    options.threads = threads;
    const auto both =
        with_between_fills(scenario, options, [&] { return estimate_chance(scenario, options); });
    EXPECT_EQ(both.outside.interval, alone.outside.interval);
    ASSERT_EQ(both.between.size(), 1U);
    EXPECT_EQ(both.between[0].limits.outside.interval, legs[0].limits.outside.interval);
    EXPECT_EQ(both.between[0].landed.quantiles, legs[0].landed.quantiles);
    const auto failing = [&]() -> estimate::ChanceResult { throw std::out_of_range("this one"); };
    EXPECT_THROW(with_between_fills(scenario, options, failing), std::out_of_range);
  }
}

}  // namespace
}  // namespace blendrisk::tank
