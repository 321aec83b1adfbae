#include "line/carry_over.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

#include "distributions/families.hpp"
#include "line/sensor_posterior.hpp"
#include "numeric/vector_math.hpp"
#include "scenario/correlation.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::line {
namespace {

using estimate::CarriedLaw;
using estimate::CarriedOver;
using testing::scenario_of;

/// Median of a law and half its middle 68 %: mean and standard deviation of a normal one.
std::pair<double, double> normal_of(const CarriedLaw& law) {
  std::vector<double> numbers;
  for (const auto& point : law.points) numbers.insert(numbers.end(), point.begin(), point.end());
  const distributions::Distribution told = distributions::quantiles(numbers);
  const double below = numeric::normal_cdf(-1.0);
  return {quantile(told, 0.5), 0.5 * (quantile(told, 1.0 - below) - quantile(told, below))};
}

const CarriedLaw* law_of(const CarriedOver& carried, const std::string& key) {
  const auto found = std::ranges::find(carried.laws, key, &CarriedLaw::key);
  return found == carried.laws.end() ? nullptr : &*found;
}

// Conjugate normal laws (any textbook of Bayesian statistics): content normal(70 %, 4 %) and bias
// normal(0 %, 2 %), a reading y with noise 1 %: V = 21 (%)², posterior means 70 + 16/V (y − 70) and
// 4/V (y − 70), variances 16 (1 − 16/V) and 4 (1 − 4/V), covariance −64/V. Twelve seeds; with t of
// 11 degrees of freedom a bound of 7.2 errors raises a false alarm once in 50 000 comparisons.
TEST(CarryOver, ConjugateLawsAreToldWithTheirCorrelation) {
  const scenario::Scenario scenario = scenario_of(
      "[tank]\ncapacity = 50 L\n[heel]\nindicated = 0 L\ncontent = 10 %\n[fuel]\n"
      "content = normal(70 %, 4 %)\n[sensor]\nbias = normal(0 %, 2 %)\nnoise = 1 %\n"
      "[limits]\nminimum = 68 %\n");
  const double v = 21.0;
  const double correlation = -64.0 / v / std::sqrt(16.0 * (1 - 16 / v) * 4.0 * (1 - 4 / v));
  const std::array exact{0.70 + 16.0 / v * 0.03, 0.04 * std::sqrt(1 - 16 / v), 4.0 / v * 0.03,
                         0.02 * std::sqrt(1 - 4 / v), correlation};
  std::array<std::vector<double>, 5> told;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    estimate::Options options;
    options.seed = seed;
    Follow follow(scenario, options);
    follow.add({follow.reading({Moment::By::burned, 0.1}, 0.73)});
    follow.posterior();
    const CarriedOver carried = follow.carried_over();
    ASSERT_NE(law_of(carried, "sensor.bias"), nullptr);
    EXPECT_EQ(law_of(carried, "line.content"), nullptr);  // there is no line
    const auto [content, content_sd] = normal_of(*law_of(carried, "heel.content"));
    const auto [bias, bias_sd] = normal_of(*law_of(carried, "sensor.bias"));
    ASSERT_EQ(carried.ranks.size(), 1U);
    const double score = scenario::score_correlation(carried.ranks[0].rank);
    const std::array values{content, content_sd, bias, bias_sd, score};
    for (std::size_t i = 0; i < values.size(); ++i) told[i].push_back(values[i]);
  }
  for (std::size_t i = 0; i < exact.size(); ++i) {
    double mean = 0.0;
    for (const double value : told[i]) mean += value / 12.0;
    double squares = 0.0;
    for (const double value : told[i]) squares += (value - mean) * (value - mean);
    EXPECT_LE(std::abs(mean - exact[i]), 7.2 * std::sqrt(squares / 11.0 / 12.0) + 1e-6) << i;
  }
}

// Filled as planned, without a reading: the content known by the sensor hangs together with its
// bias, −1 where nothing else varies and the new fuel is none; the bias keeps its law.
TEST(CarryOver, AReadingBeforeTheFillTiesTheTankToTheBias) {
  const CarriedOver carried = carried_over(
      scenario_of("[tank]\ncapacity = 50 L\n[heel]\nindicated = 20 L\nreading = 60 %\n[fuel]\n"
                  "content = 10 %\n[sensor]\nbias = normal(0 %, 2 %)\n[limits]\nminimum = 20 %\n"),
      {});
  const auto [content, sd] = normal_of(*law_of(carried, "heel.content"));
  EXPECT_NEAR(content, 0.4 * 0.6 + 0.6 * 0.1, 1e-5);
  EXPECT_NEAR(sd, 0.4 * 0.02, 1e-5);
  EXPECT_NEAR(normal_of(*law_of(carried, "sensor.bias")).second, 0.02, 1e-5);
  ASSERT_EQ(carried.ranks.size(), 1U);
  EXPECT_EQ(carried.ranks[0].rank, -0.9999);
}

TEST(CarryOver, WhatIsExactIsToldAsThat) {
  const CarriedOver carried = carried_over(
      scenario_of("[tank]\ncapacity = 50 L\n[heel]\nindicated = 20 L\ncontent = 60 %\n[fuel]\n"
                  "content = 10 %\n[sensor]\nlag = 4 s\n[limits]\nminimum = 20 %\n"),
      {});
  ASSERT_EQ(carried.laws.size(), 1U);
  ASSERT_EQ(carried.laws[0].points.size(), 1U);
  EXPECT_NEAR(carried.laws[0].points[0][1], 0.3, 1e-12);
  EXPECT_TRUE(carried.ranks.empty());
}

std::vector<KnownCase> cases_of(std::size_t n, std::uint64_t seed,
                                const std::function<KnownCase(double, double)>& make) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  std::vector<KnownCase> cases;
  for (std::size_t i = 0; i < n; ++i) {
    const double a = normal(random);
    cases.push_back(make(a, normal(random)));
  }
  return cases;
}

// Laws told by their points agree with the distribution functions they are of: uniform, and two
// humps. The share at a point is off by at most five standard errors of 200 000 cases.
TEST(CarryOver, PointsFollowLawsThatAreNotNormal) {
  const auto uniform_of = [](double z) { return 0.5 + 0.2 * numeric::normal_cdf(z); };
  for (const bool humps : {false, true}) {
    const CarriedOver carried =
        carried_over(cases_of(200'000, 3,
                              [&](double a, double b) {
                                const double hump = 0.5 + 0.01 * a + (b > 0.5 ? 0.2 : 0.0);
                                const double one = humps ? hump : uniform_of(a);
                                return KnownCase{one, one, 0.0, 0.5};
                              }),
                     2e5);
    ASSERT_EQ(carried.laws.size(), 1U);  // the line holds what the tank does, and no bias
    const auto& points = carried.laws[0].points;
    EXPECT_GT(points.size(), 4U);
    const double second = 1.0 - numeric::normal_cdf(0.5);
    for (std::size_t i = 0; i < points.size(); ++i) {
      const auto [share, value] = points[i];
      if (i > 0) {
        EXPECT_GT(value, points[i - 1][1]);
      }
      const double exact = humps ? (1 - second) * numeric::normal_cdf((value - 0.5) / 0.01) +
                                       second * numeric::normal_cdf((value - 0.7) / 0.01)
                                 : std::clamp((value - 0.5) / 0.2, 0.0, 1.0);
      EXPECT_NEAR(share, exact, 5.0 * std::sqrt(share * (1.0 - share) / 2e5)) << value;
    }
  }
}

// Values held at a bound are one value, of which a law through points has no two.
TEST(CarryOver, ValuesHeldAtABoundRiseStill) {
  const CarriedOver carried = carried_over(cases_of(20'000, 5,
                                                    [](double a, double) {
                                                      const double content =
                                                          std::min(1.0, 0.98 + 0.02 * a);
                                                      return KnownCase{content, content, 0.0, 1.0};
                                                    }),
                                           2e4);
  const auto& points = carried.laws.at(0).points;
  ASSERT_GE(points.size(), 2U);
  for (std::size_t i = 1; i < points.size(); ++i) EXPECT_GT(points[i][1], points[i - 1][1] + 1e-5);
  EXPECT_LE(points.back()[1], 1.0);
}

// Spearman's of a bivariate normal law is 6/π asin(ρ/2) (K. Pearson 1907; from memory); its
// standard error is below 1/√n. Three that all but tell each other are still accepted together.
TEST(CarryOver, CorrelationsAreSpearmansAndExcludeNothing) {
  const CarriedOver two =
      carried_over(cases_of(40'000, 7,
                            [](double a, double b) {
                              const double content = 0.7 + 0.02 * a;
                              return KnownCase{content, content, 0.01 * (0.6 * a + 0.8 * b), 1.0};
                            }),
                   4e4);
  ASSERT_EQ(two.ranks.size(), 1U);
  EXPECT_NEAR(two.ranks[0].rank, 6.0 / std::numbers::pi * std::asin(0.3), 5.0 / 200.0);
  const CarriedOver three = carried_over(
      cases_of(
          40'000, 9,
          [](double a, double b) {
            return KnownCase{0.7 + 0.02 * a, 0.6 + 0.02 * a + 1e-4 * b, -0.02 * a + 1e-4 * b, 1.0};
          }),
      4e4);
  ASSERT_EQ(three.ranks.size(), 3U);
  std::vector<scenario::Correlation> all;
  for (const auto& one : three.ranks) {
    all.push_back({one.first, one.second, one.rank});
    EXPECT_GT(std::abs(one.rank), 0.95);
  }
  EXPECT_TRUE(scenario::conflicting(all).empty());
}

}  // namespace
}  // namespace blendrisk::line
