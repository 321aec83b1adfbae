#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

#include "distributions/families.hpp"

namespace blendrisk::distributions {
namespace {

// Two points of a law through quantiles make a normal law, and its mean is that of its pieces:
// half of each of two normal laws that are cut at their middle.
TEST(Quantiles, AreNormalBetweenTheirPoints) {
  const double z = 1.2815515655446004;  // Abramowitz and Stegun, table 26.5: x of Q = 0.1
  const Distribution two = quantiles(std::array{0.1, 1.0 - z, 0.9, 1.0 + z});
  const Distribution bent = quantiles(std::array{0.1, 1.0 - z, 0.5, 1.0, 0.9, 1.0 + 3.0 * z});
  for (double x = -4.0; x < 6.0; x += 0.37) {
    EXPECT_NEAR(cdf(two, x), cdf(normal(1.0, 1.0), x), 1e-15) << x;
    const double sd = x < 1.0 ? 1.0 : 3.0;
    EXPECT_NEAR(cdf(bent, x), cdf(normal(1.0, sd), x), 1e-15) << x;
  }
  EXPECT_NEAR(mean(two), 1.0, 1e-15);
  EXPECT_NEAR(mean(bent), 1.0 + (3.0 - 1.0) / std::sqrt(2.0 * std::numbers::pi), 1e-14);
}

}  // namespace
}  // namespace blendrisk::distributions
