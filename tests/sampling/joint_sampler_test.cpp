#include "sampling/joint_sampler.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sampling/random_streams.hpp"
#include "sampling/xoshiro.hpp"
#include "scenario/correlation.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::sampling {
namespace {

using testing::scenario_of;

/// A false alarm in a million a comparison.
constexpr double k_bound = 4.9;

scenario::Scenario car(const std::string& gauge, const std::string& meter,
                       const std::string& correlation) {
  return scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 30 L\ncontent = 10 %\n"
      "gauge-error = " +
      gauge + "\n[fuel]\ncontent = normal(75 %, 3 %)\nmeter-error = " + meter +
      "\n[fill]\namount = 20 L\n[limits]\nminimum = 50 %\n[correlation]\n" + correlation);
}

/// Columns of n independent cases.
std::vector<std::vector<double>> drawn(const JointSampler& sampler, std::size_t n,
                                       std::uint64_t seed) {
  constexpr std::size_t k_batch = 1024;
  CaseBatch batch(sampler.inputs(), k_batch);
  Xoshiro points(stream_key({seed}));
  std::vector<double> u(k_batch);
  std::vector<std::vector<double>> columns(sampler.size());
  for (std::size_t done = 0; done < n; done += k_batch) {
    sampler.draw_all(
        u, [&](std::size_t, std::span<double> to) { points.fill(to); }, batch);
    for (std::size_t d = 0; d < sampler.size(); ++d) {
      const double* x = batch.column(sampler.slots()[d]);
      columns[d].insert(columns[d].end(), x, x + k_batch);
    }
  }
  return columns;
}

std::vector<double> ranks(const std::vector<double>& x) {
  std::vector<std::size_t> order(x.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return x[a] < x[b]; });
  std::vector<double> result(x.size());
  for (std::size_t i = 0; i < order.size(); ++i) result[order[i]] = static_cast<double>(i);
  return result;
}

double correlation(const std::vector<double>& x, const std::vector<double>& y) {
  const auto n = static_cast<double>(x.size());
  const double mean_x = std::accumulate(x.begin(), x.end(), 0.0) / n;
  const double mean_y = std::accumulate(y.begin(), y.end(), 0.0) / n;
  double xx = 0.0;
  double yy = 0.0;
  double xy = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mean_x) * (x[i] - mean_x);
    yy += (y[i] - mean_y) * (y[i] - mean_y);
    xy += (x[i] - mean_x) * (y[i] - mean_y);
  }
  return xy / std::sqrt(xx * yy);
}

// The standard error of a rank correlation is at most 1.03 (1 − ρ²)^(1/2)/√n for jointly normal
// scores (D. G. Bonett and T. A. Wright, Psychometrika 65, 2000, give sqrt((1 + ρ²/2)/(n − 3)) in
// Fisher's coordinate; from memory).
TEST(JointSampler, RealisedRankCorrelationIsTheOneAskedFor) {
  constexpr std::size_t n = 1U << 18U;
  for (const double rank : {-0.9, 0.6}) {
    for (const auto& [gauge, meter] : std::vector<std::pair<std::string, std::string>>{
             {"normal(0 L, 1 L)", "normal(0 %, 1 %)"},
             {"uniform(-2 L, 2 L)", "student(0 %, 1 %, 3)"},
             {"triangular(-1 L, 0 L, 2 L)", "normal(0 %, 1 %) in [-1 %, 0.5 %]"}}) {
      const scenario::Scenario scenario =
          car(gauge, meter, "heel.gauge-error, fuel.meter-error = " + std::to_string(rank));
      const CaseInputs inputs(scenario);
      const auto x = drawn(
          JointSampler(inputs, {Slot::meter_error(0), Slot::content(0), Slot::gauge_error}), n, 7);
      const double error = std::sqrt((1.0 + rank * rank / 2.0) / (static_cast<double>(n) - 3.0));
      const double realised = std::atanh(correlation(ranks(x[0]), ranks(x[2])));
      EXPECT_LT(std::abs(realised - std::atanh(rank)), k_bound * error) << rank << gauge;
      // The twin: the rank correlation itself as that of the scores would be seen.
      const double mistaken = 6.0 / M_PI * std::asin(rank / 2.0);
      EXPECT_GT(std::abs(realised - std::atanh(mistaken)), k_bound * error) << rank;
      EXPECT_LT(std::abs(correlation(ranks(x[1]), ranks(x[2]))),
                k_bound / std::sqrt(static_cast<double>(n)));
    }
  }
}

TEST(JointSampler, LawsOfCorrelatedInputsStayAsTheyAre) {
  const scenario::Scenario scenario = car("uniform(-2 L, 2 L)", "student(0 %, 1 %, 3)",
                                          "heel.gauge-error, fuel.meter-error = 0.8\n");
  const CaseInputs inputs(scenario);
  const JointSampler sampler = sampler_of_all(inputs);
  constexpr std::size_t n = 1U << 18U;
  const auto x = drawn(sampler, n, 3);
  for (std::size_t d = 0; d < sampler.size(); ++d) {
    for (const double order : {0.01, 0.2, 0.5, 0.9, 0.999}) {
      const double at = distributions::quantile(inputs[sampler.slots()[d]].law, order);
      const auto below = static_cast<double>(
          std::count_if(x[d].begin(), x[d].end(), [at](double value) { return value <= at; }));
      EXPECT_LT(std::abs(below / n - order), k_bound * std::sqrt(order * (1.0 - order) / n));
    }
  }
}

// JCGM 101:2008 clause 9.4 (from memory), comparison loss of a power meter: δY = X1² + X2²,
// u(x1) = u(x2) = 0.005, x2 = 0. Estimates and uncertainties follow from moments: mean
// x1² + 2u², variance 4x1²u² + 4u⁴(1 + r²); they give the table's 50, 150 and 2550, and for r = 0.9
// 67, 121 and 505, all in 1e-6 (the table from memory). Errors of the realised values come from the
// fourth moment of the sample itself.
TEST(JointSampler, ComparisonLossOfTheGuide) {
  constexpr std::size_t n = 1U << 19U;
  const double u = 0.005;
  struct Row {
    double x1, r, tabled_u;
  };
  for (const Row& row : {Row{0.0, 0.0, 50}, Row{0.010, 0.0, 112}, Row{0.050, 0.0, 502},
                         Row{0.0, 0.9, 67}, Row{0.010, 0.9, 121}, Row{0.050, 0.9, 505}}) {
    const double rank = 6.0 / M_PI * std::asin(row.r / 2.0);
    const std::string line = "heel.gauge-error, fuel.meter-error = " + std::to_string(rank);
    const scenario::Scenario scenario =
        car("normal(" + std::to_string(row.x1) + " L, 0.005 L)", "normal(0 %, 0.5 %)", line);
    const CaseInputs inputs(scenario);
    const auto x = drawn(JointSampler(inputs, {Slot::gauge_error, Slot::meter_error(0)}), n, 5);
    double sum = 0.0;
    double second = 0.0;
    double fourth = 0.0;
    const double mean = row.x1 * row.x1 + 2.0 * u * u;
    for (std::size_t i = 0; i < n; ++i) {
      const double off = x[0][i] * x[0][i] + x[1][i] * x[1][i] - mean;
      sum += off;
      second += off * off;
      fourth += off * off * off * off;
    }
    const double variance = second / n;
    const double truth =
        4.0 * row.x1 * row.x1 * u * u + 4.0 * u * u * u * u * (1.0 + row.r * row.r);
    EXPECT_LT(std::abs(sum / n), k_bound * std::sqrt(variance / n)) << row.x1 << " " << row.r;
    const double error = std::sqrt((fourth / n - variance * variance) / n);
    // std::to_string cuts the rank correlation after six digits.
    EXPECT_LT(std::abs(variance - truth), k_bound * error + 1e-5 * truth) << row.x1 << " " << row.r;
    EXPECT_EQ(std::round(1e6 * std::sqrt(truth)), row.tabled_u);
  }
}

// A row of the factor by hand: r12 = 0.6, r13 = 0.3, r23 = -0.2.
TEST(ScoreRow, IsTheFactorsRow) {
  const double r12 = scenario::score_correlation(0.6);
  const double r13 = scenario::score_correlation(0.3);
  const double r23 = scenario::score_correlation(-0.2);
  const scenario::Scenario scenario =
      car("normal(0 L, 1 L)", "normal(0 %, 1 %)",
          "heel.gauge-error, fuel.meter-error = 0.6\nheel.gauge-error, fuel.content = 0.3\n"
          "fuel.meter-error, fuel.content = -0.2\n");
  const CaseInputs inputs(scenario);
  const std::vector<std::size_t> before{Slot::gauge_error, Slot::meter_error(0)};
  const ScoreRow row = score_row(inputs, before, Slot::content(0));
  const double l22 = std::sqrt(1.0 - r12 * r12);
  const double l32 = (r23 - r12 * r13) / l22;
  ASSERT_EQ(row.weights.size(), 2U);
  EXPECT_NEAR(row.weights[0].second, r13, 1e-14);
  EXPECT_NEAR(row.weights[1].second, l32, 1e-14);
  EXPECT_NEAR(row.own, std::sqrt(1.0 - r13 * r13 - l32 * l32), 1e-14);
  EXPECT_FALSE(score_row(inputs, {}, Slot::old_fuel).correlated);
}

// With one score known the other's is normal about r z.
TEST(ScoreRow, KnownScoresMoveTheOthers) {
  scenario::Scenario scenario =
      car("normal(0 L, 1 L)", "normal(0 %, 1 %)", "heel.gauge-error, fuel.meter-error = 0.6\n");
  scenario.heel.gauge_error = distributions::exact(2.0);
  scenario.known = {{"heel.gauge-error", 2.0}};
  const CaseInputs inputs(scenario);
  const double r = scenario::score_correlation(0.6);
  const ScoreRow row = score_row(inputs, {}, Slot::meter_error(0));
  EXPECT_NEAR(row.offset, 2.0 * r, 1e-14);
  EXPECT_NEAR(row.own, std::sqrt(1.0 - r * r), 1e-14);
}

// Sheppard's 1/4 + asin(r)/(2π) at 0; independence; symmetry; and SciPy 1.10's
// multivariate_normal.cdf (abseps 1e-14) elsewhere.
TEST(BivariateNormal, AgainstClosedFormsAndSciPy) {
  for (const double r : {-0.99, -0.5, 0.0, 0.3, 0.95}) {
    EXPECT_NEAR(bivariate_normal_cdf(0.0, 0.0, r), 0.25 + std::asin(r) / (2.0 * M_PI), 1e-13);
  }
  EXPECT_NEAR(bivariate_normal_cdf(-1.0, 0.5, 0.0), 0.15865525393145707 * 0.6914624612740131,
              1e-15);
  EXPECT_NEAR(bivariate_normal_cdf(-1.0, 0.5, 0.6), 0.15143963095843227, 1e-11);
  EXPECT_NEAR(bivariate_normal_cdf(-2.0, -1.5, -0.4), 9.210284188004083e-05, 1e-11);
  EXPECT_NEAR(bivariate_normal_cdf(1.2, 2.5, 0.97), 0.8849303296074631, 1e-11);
  const double far = HUGE_VAL;
  EXPECT_EQ(bivariate_normal_cdf(-far, 1.0, 0.5), 0.0);
  EXPECT_NEAR(bivariate_normal_cdf(far, 1.0, 0.5), 0.8413447460685429, 1e-15);
}

}  // namespace
}  // namespace blendrisk::sampling
