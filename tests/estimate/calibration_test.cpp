#include "estimate/calibration.hpp"

#include <gsl/gsl_cdf.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "numeric/vector_math.hpp"

namespace blendrisk::estimate {
namespace {

// Upper points of the limit law as they are printed in tables: 0.34730 at 10 %, 0.46136 at 5 %,
// 0.74346 at 1 % (from memory). With a million rows the statistic is hardly modified.
TEST(Calibration, CramerVonMisesHasTheTabledPoints) {
  constexpr std::size_t k_many = 1'000'000;
  EXPECT_NEAR(cramer_von_mises_p(0.34730, k_many), 0.10, 2e-5);
  EXPECT_NEAR(cramer_von_mises_p(0.46136, k_many), 0.05, 2e-5);
  EXPECT_NEAR(cramer_von_mises_p(0.74346, k_many), 0.01, 1e-5);
  EXPECT_EQ(cramer_von_mises_p(0.0, 10), 1.0);
  EXPECT_LT(cramer_von_mises_p(5.0, 10), 1e-9);
}

TEST(Calibration, CramerVonMisesIsTheSumOfSquares) {
  EXPECT_NEAR(cramer_von_mises({0.5}), 1.0 / 12.0, 1e-15);
  EXPECT_NEAR(cramer_von_mises({0.9, 0.2}), 1.0 / 24.0 + 0.05 * 0.05 + 0.15 * 0.15, 1e-15);
}

// Of 20 000 sets of uniform shares as many lie below 5 % as there should, within 4.4 standard
// errors, a false alarm in 100 000, and what the modification for n may be off by.
TEST(Calibration, CramerVonMisesIsRightForFewRows) {
  for (const std::size_t n : {8U, 30U}) {
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> uniform;
    int low = 0;
    std::vector<double> shares(n);
    for (int set = 0; set < 20'000; ++set) {
      for (double& share : shares) share = uniform(random);
      low += cramer_von_mises_p(cramer_von_mises(shares), n) < 0.05 ? 1 : 0;
    }
    EXPECT_NEAR(low / 20'000.0, 0.05, 4.4 * std::sqrt(0.05 * 0.95 / 20'000.0) + 0.002) << n;
  }
}

// Both tests pass in 95 % of honest cases at any number of rows: the chi-squared law by the GNU
// Scientific Library, the normal one by its table, Φ⁻¹(1 − (1 − √0.95)/2) = 2.236477 (computed).
TEST(Calibration, ThePowerIsThatOfBothTests) {
  for (const std::size_t n : {2U, 8U, 50U, 200U}) {
    EXPECT_NEAR(power_of(n, 1.0, 0.0), 0.05, 1e-9) << n;
    const double dof = static_cast<double>(n) - 1.0;
    const double tail = 0.5 * (1.0 - std::sqrt(0.95));
    const double low = gsl_cdf_chisq_Pinv(tail, dof);
    const double high = gsl_cdf_chisq_Qinv(tail, dof);
    const double sd = 1.0 / 0.7;
    const double spread_passes =
        gsl_cdf_chisq_P(high / (sd * sd), dof) - gsl_cdf_chisq_P(low / (sd * sd), dof);
    const double mean_passes = 1.0 - 2.0 * gsl_cdf_ugaussian_Q(2.236477 / sd);
    EXPECT_NEAR(power_of(n, 0.7, 0.0), 1.0 - spread_passes * mean_passes, 1e-6) << n;
  }
  EXPECT_NEAR(power_of(1, 1.0, 0.0), 0.05, 1e-9);
}

TEST(Calibration, WhatIsFoundIn80PercentIs) {
  for (const std::size_t n : {8U, 60U}) {
    std::vector<double> scores(n);
    for (std::size_t i = 0; i < n; ++i) {
      scores[i] = numeric::normal_quantile((static_cast<double>(i) + 0.5) / static_cast<double>(n));
    }
    const Calibration found = judged(scores);
    EXPECT_TRUE(found.honest() && !found.cannot_tell());
    EXPECT_LT(*found.reach.narrow, 1.0);
    EXPECT_GT(*found.reach.wide, 1.0);
    EXPECT_NEAR(power_of(n, *found.reach.narrow, 0.0), 0.8, 1e-6);
    EXPECT_NEAR(power_of(n, *found.reach.wide, 0.0), 0.8, 1e-6);
    EXPECT_NEAR(power_of(n, 1.0, found.reach.shift), 0.8, 1e-6);
    EXPECT_LT(found.widen_interval[0], found.widen);
    EXPECT_GT(found.widen_interval[1], found.widen);
  }
}

std::vector<double> scaled(std::vector<double> scores, double factor, double shift) {
  for (double& score : scores) score = factor * score + shift;
  return scores;
}

TEST(Calibration, VerdictsAreNamedByWhatIsWrong) {
  std::vector<double> scores(40);
  for (std::size_t i = 0; i < 40; ++i) {
    scores[i] = numeric::normal_quantile((static_cast<double>(i) + 0.5) / 40.0);
  }
  EXPECT_TRUE(judged(scores).honest());
  const Calibration narrow = judged(scaled(scores, 1.6, 0.0));
  EXPECT_TRUE(narrow.too_sure && !narrow.off && !narrow.not_sure_enough);
  EXPECT_NEAR(narrow.widen, 1.6 * judged(scores).widen, 1e-12);
  const Calibration wide = judged(scaled(scores, 0.5, 0.0));
  EXPECT_TRUE(wide.not_sure_enough && !wide.off && !wide.too_sure);
  const Calibration off = judged(scaled(scores, 1.0, 0.6));
  EXPECT_TRUE(off.off && !off.too_sure && !off.not_sure_enough);
  EXPECT_GT(off.shift_interval[0], 0.0);
  EXPECT_TRUE(judged(std::vector<double>{0.1, -0.3, 0.4}).cannot_tell());
  EXPECT_TRUE(judged(std::vector<double>{0.3}).cannot_tell());
  EXPECT_TRUE(judged(std::vector<double>{3.0}).off);
  EXPECT_FALSE(judged(std::vector<double>{6.0, -7.0, 5.0}).honest());
}

// 2000 invented shops for each number of rows, and for forecasts of each spread: the verdict is
// "honest" in 95 % where they are right, within 4.4 standard errors (2.1 %, a false alarm in
// 100 000), and any other as often as is said, within the 5 points that it is said to.
TEST(Calibration, SlowVerdictsComeAsOftenAsIsSaid) {
  for (const std::size_t n : {8U, 20U, 200U}) {
    for (const double spread : {1.0, 0.5, 0.7, 1.4, 2.0}) {
      std::mt19937_64 random(n);
      std::normal_distribution<double> score(0.0, 1.0 / spread);
      std::vector<double> scores(n);
      int other = 0;
      double said = 0.05;
      for (int shop = 0; shop < 2000; ++shop) {
        for (double& one : scores) one = score(random);
        const Calibration found = judged(scores);
        other += found.honest() ? 0 : 1;
        for (std::size_t k = 0; k < k_told_spreads.size(); ++k) {
          if (k_told_spreads[k] == spread) said = found.reach.power[k];
        }
      }
      EXPECT_NEAR(other / 2000.0, said, spread == 1.0 ? 0.0214 : 0.05) << n << " " << spread;
    }
  }
}

}  // namespace
}  // namespace blendrisk::estimate
