#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "distributions/families.hpp"
#include "models/infinity.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::distributions {
namespace {

TEST(Distribution, TruncatingStepsKeepsTheStepsInside) {
  EXPECT_TRUE(is_exact(truncated(exact(4.0), 4.0, 5.0)));
  const Distribution law = truncated(empirical({3.0, 1.0, 2.0, 9.0, 2.0}), 2.0, 8.0);
  EXPECT_DOUBLE_EQ(cdf(law, 2.0), 2.0 / 3.0);
  EXPECT_DOUBLE_EQ(mean(law), 7.0 / 3.0);
  EXPECT_EQ(lowest(law), 2.0);
  EXPECT_EQ(highest(law), 3.0);
}

// What may lie beyond measured values is known by their window alone, which moves along.
TEST(Distribution, StepsKeepTheirWindow) {
  const Distribution all = empirical({1.0, 2.0, 9.0});
  EXPECT_EQ(all.law().steps().low, -k_infinity);
  EXPECT_EQ(all.law().steps().high, k_infinity);
  const Distribution cut = truncated(truncated(all, -4.0, 8.0), 0.5, 12.0);
  EXPECT_EQ(cut.law().steps().low, 0.5);
  EXPECT_EQ(cut.law().steps().high, 8.0);
  EXPECT_EQ(moved(cut, 11.5).law().steps().low, 10.5);
  EXPECT_EQ(moved(cut, 11.5).law().steps().high, 18.0);
}

TEST(Distribution, StepsTellBelowFromAt) {
  const Distribution point = exact(4.0);
  EXPECT_EQ(cdf(point, 4.0), 1.0);
  EXPECT_EQ(cdf_below(point, 4.0), 0.0);
  EXPECT_EQ(complement(point, 4.0), 0.0);
  EXPECT_EQ(quantile(point, 0.3), 4.0);
  EXPECT_TRUE(is_exact(point));
  EXPECT_FALSE(is_exact(normal(0.0, 1.0)));
  const Distribution law = empirical({1.0, 2.0, 2.0, 5.0});
  EXPECT_EQ(cdf(law, 2.0), 0.75);
  EXPECT_EQ(cdf_below(law, 2.0), 0.25);
  EXPECT_EQ(complement(law, 2.0), 0.25);
}

TEST(Distribution, EmpiricalQuantileIsTheSmallestValueReachingP) {
  std::vector<double> values(49);
  for (std::size_t i = 0; i < values.size(); ++i) values[i] = static_cast<double>(i);
  const Distribution law = empirical(values);
  for (std::size_t k = 1; k < 49; ++k) {
    const double p = static_cast<double>(k) / 49.0;
    EXPECT_EQ(quantile(law, p), static_cast<double>(k - 1)) << k;
    EXPECT_EQ(quantile(law, std::nextafter(p, 1.0)), static_cast<double>(k)) << k;
    EXPECT_EQ(quantile_complement(law, p), static_cast<double>(48 - k)) << k;
    EXPECT_EQ(quantile_complement(law, std::nextafter(p, 0.0)), static_cast<double>(49 - k)) << k;
  }
  EXPECT_EQ(quantile(law, 1e-300), 0.0);
  EXPECT_EQ(quantile_complement(law, 1e-300), 48.0);
}

// The value at a score is the quantile of its share, but at the edges themselves, where rounding
// decides; and one value further on is another.
TEST(Distribution, EmpiricalValuesAtScoresAreTheQuantiles) {
  for (const std::size_t count : {2U, 3U, 31U, 32U, 33U, 200U}) {
    std::vector<double> values(count);
    for (std::size_t i = 0; i < count; ++i) values[i] = static_cast<double>(i);
    const Distribution law = empirical(values);
    std::vector<double> z;
    for (double score = -9.0; score < 9.0; score += 0.00713) z.push_back(score);
    std::vector<double> x(z.size());
    law.law().fill_at_scores(z, x.data());
    std::size_t apart = 0;
    for (std::size_t i = 0; i < z.size(); ++i) {
      const double p = numeric::normal_cdf(z[i]);
      ASSERT_EQ(x[i], quantile(law, std::max(p, 1e-300))) << count << ' ' << z[i];
      if (p + 1.0 / double(count) < 1.0) apart += quantile(law, p + 1.0 / double(count)) != x[i];
    }
    EXPECT_GT(apart, z.size() / 10);
  }
}

TEST(Distribution, EmpiricalSharesOfManyAreThoseOfOne) {
  const Distribution law = empirical({1.0, 2.0, 2.0, 5.0, 7.5});
  std::vector<double> x{-k_infinity, 0.0, 1.0, 1.5, 2.0, 4.0, 5.0, 7.5, 8.0, k_infinity};
  std::vector<double> below(x.size());
  std::vector<double> above(x.size());
  cdf_below(law, x, below);
  complement(law, x, above);
  for (std::size_t i = 0; i < x.size(); ++i) {
    EXPECT_EQ(below[i], cdf_below(law, x[i])) << x[i];
    EXPECT_EQ(above[i], complement(law, x[i])) << x[i];
  }
  EXPECT_EQ(below[4], 0.2);
  EXPECT_EQ(above[4], 0.4);
}

}  // namespace
}  // namespace blendrisk::distributions
