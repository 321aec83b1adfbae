#include <gtest/gtest.h>

#include <vector>

#include "distributions/families.hpp"

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

}  // namespace
}  // namespace blendrisk::distributions
