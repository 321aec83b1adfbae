#include "estimate/point_law.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "numeric/vector_math.hpp"

namespace blendrisk::estimate {
namespace {

PointLaw normal_points(double mean, double sd, int n) {
  std::vector<Weighted> points;
  for (int i = 0; i < n; ++i) {
    points.push_back({mean + sd * numeric::normal_quantile((i + 0.5) / n), 1.0});
  }
  return PointLaw(std::move(points));
}

// Closed form of the normal law (T. Gneiting and A. Raftery, JASA 102, 2007, from memory): N(0, 1)
// at 0 is 0.233694977255109, N(0, 2) with that standard deviation at 1 is 0.662807062509712
// (computed). Half a million points know it to the eighth digit.
TEST(PointLaw, ScoresOfNormalForecastsAreTheClosedForm) {
  constexpr int k_points = 1 << 19;
  EXPECT_NEAR(normal_points(0.0, 1.0, k_points).crps(0.0), 0.233694977255109, 1e-8);
  EXPECT_NEAR(normal_points(0.0, 2.0, k_points).crps(1.0), 0.662807062509712, 1e-8);
}

TEST(PointLaw, ScoreOfAnExactForecastIsItsError) {
  const PointLaw law({{0.7, 2.0}});
  EXPECT_NEAR(law.crps(0.75), 0.05, 1e-15);
  EXPECT_NEAR(law.crps(0.6), 0.1, 1e-15);
  EXPECT_EQ(law.crps(0.7), 0.0);
  // Two points by hand: below 0.5 the square of 0, up to 0.75 that of 1/4, then of 1 - 1/4.
  const PointLaw two({{1.0, 3.0}, {0.5, 1.0}});
  EXPECT_NEAR(two.crps(0.75), 0.25 * 0.0625 + 0.25 * 0.5625, 1e-15);
  EXPECT_NEAR(two.crps(2.0), 0.5 * 0.0625 + 1.0, 1e-15);
}

TEST(PointLaw, SharesAndQuantilesCountWeights) {
  const PointLaw law({{3.0, 1.0}, {1.0, 1.0}, {2.0, 2.0}});
  EXPECT_EQ(law.below(2.0), 0.25);
  EXPECT_EQ(law.at_most(2.0), 0.75);
  EXPECT_EQ(law.below(0.5), 0.0);
  EXPECT_EQ(law.at_most(9.0), 1.0);
  EXPECT_EQ(law.quantile(0.5), 2.0);
  EXPECT_EQ(law.quantile(0.76), 3.0);
  EXPECT_EQ(law.quantile(0.1), 1.0);
  EXPECT_NEAR(law.mean(), 2.0, 1e-15);
  EXPECT_NEAR(law.standard_deviation(), std::sqrt(0.5), 1e-15);
  EXPECT_NEAR(law.grain(), 6.0 / 16.0, 1e-15);
}

}  // namespace
}  // namespace blendrisk::estimate
