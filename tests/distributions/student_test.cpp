#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "distributions/families.hpp"
#include "text/error.hpp"

namespace blendrisk::distributions {
namespace {

TEST(Distribution, StudentQuantilesReachFarTails) {
  for (const double dof : {1.0, 2.0, 3.0, 4.0, 7.5, 30.0, 200.0}) {
    const Distribution law = student(0.0, 1.0, dof);
    for (double p = 1e-290; p < 0.5; p *= 13.0) {
      const double x = quantile(law, p);
      ASSERT_LT(x, 0.0);
      EXPECT_NEAR(cdf(law, x) / p, 1.0, 1e-11) << dof << " at " << p;
      EXPECT_EQ(quantile_complement(law, p), -x);
    }
  }
}

// P(0 < T <= t) is the density at 0 times t there.
// Boost's inverse jumps to the center below 0.013 degrees of freedom; the least that is taken is
// 0.02.
TEST(Distribution, StudentQuantilesRiseFromTheFewestDegreesOn) {
  for (double dof = 0.02; dof < 3.0; dof *= 1.1) {
    const Distribution law = student(0.0, 1.0, dof);
    double before = -std::numeric_limits<double>::infinity();
    for (int i = 1; i < 4000; ++i) {
      const double p = i / 4000.0;
      const double x = quantile(law, p);
      EXPECT_GE(x, before) << dof << " at " << p;
      EXPECT_NEAR(cdf(law, x), p, 1e-9 * std::min(p, 1.0 - p)) << dof;
      before = x;
    }
  }
}

TEST(Distribution, StudentQuantilesKeepTheirDigitsNearTheCenter) {
  for (const double dof : {1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 9.0, 30.0}) {
    const double density = std::tgamma(0.5 * (dof + 1.0)) /
                           (std::sqrt(dof * std::numbers::pi) * std::tgamma(0.5 * dof));
    for (const double share : {0x1p-20, 0x1p-27, 0x1p-40}) {
      EXPECT_NEAR(quantile(student(0.0, 1.0, dof), 0.5 + share) / (share / density), 1.0,
                  1e-15 / share + 4e-12)
          << dof << " at " << share;
    }
    EXPECT_EQ(quantile(student(0.0, 1.0, dof), 0.5), 0.0);
  }
}

TEST(Distribution, TestsFollowJcgm101Clause649) {
  // JCGM 101:2008 clause 6.4.9 (from memory): t of n − 1 degrees of freedom, shifted by the mean,
  // scaled by s/sqrt(n). Here n = 5, mean 0.80, s² = 0.001/4.
  const std::array values{0.78, 0.79, 0.80, 0.81, 0.82};
  const Distribution law = tests(values);
  const double scale = std::sqrt(0.001 / 4.0 / 5.0);
  const Distribution same = student(0.80, scale, 4.0);
  for (const double p : {0.01, 0.3, 0.5, 0.9}) {
    EXPECT_NEAR(quantile(law, p), quantile(same, p), 1e-15) << p;
  }
  EXPECT_NEAR(mean(law), 0.80, 1e-15);
  // t of 4 degrees: 2.776 at 97.5 % (computed: SciPy 1.10).
  EXPECT_NEAR((quantile(law, 0.975) - 0.80) / scale, 2.776, 5e-4);
  EXPECT_THROW(tests(std::array{0.8}), text::Error);
  EXPECT_THROW(tests(std::array{0.8, 0.8, 0.8}), text::Error);
}

}  // namespace
}  // namespace blendrisk::distributions
