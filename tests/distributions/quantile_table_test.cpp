#include "distributions/quantile_table.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "distributions/families.hpp"

namespace blendrisk::distributions {
namespace {

struct Case {
  const char* name;
  Distribution law;
  double tolerance;  ///< relative to max(|x|, middle two thirds)
};

// Against the search itself, between the nodes and out to tails of 1e-24.
TEST(ScoreTable, FollowsTheSearch) {
  for (const Case& one :
       {Case{"beta", beta(0.6, 0.85, 5.0, 2.0), 1e-12},
        Case{"beta, J", beta(0.7, 0.8, 1.6, 0.7), 1e-12},
        Case{"beta, U", beta(0.0, 1.0, 0.5, 0.4), 1e-12},
        Case{"t of 5", student(72.0, 0.2, 5.0), 1e-11},
        Case{"t of 1.5", student(0.75, 0.02, 1.5), 1e-8},
        Case{"cut t", truncated(student(0.75, 0.02, 2.0), 0.7, 0.83), 1e-12},
        Case{"cut beta", truncated(beta(0.6, 0.85, 5.0, 2.0), 0.7, 0.8), 1e-12}}) {
    ASSERT_TRUE(one.law.law().traits().searched) << one.name;
    const double spread = quantile(one.law, 0.84) - quantile(one.law, 0.16);
    for (double z = -10.0; z < 10.0; z += 0.0371) {
      double x = 0.0;
      one.law.law().fill_at_scores(std::span(&z, 1), &x);
      const double truth = quantile_at_score(one.law.law(), z);
      EXPECT_NEAR(x, truth, one.tolerance * std::max(std::abs(truth), spread)) << one.name << z;
    }
  }
}

// Against the law's own distribution function, relative to the nearer tail, on values from far
// below to far above, near bounds and beyond the table, where the law itself is asked.
TEST(ScoreTable, SharesFollowTheDistributionFunction) {
  for (const Distribution& law :
       {beta(0.6, 0.85, 5.0, 2.0), beta(0.7, 0.8, 1.6, 0.7), beta(0.0, 1.0, 0.2, 0.4),
        student(72.0, 0.2, 5.0), student(0.75, 0.02, 1.5), student(0.75, 0.02, 1.0),
        truncated(student(0.75, 0.02, 2.0), 0.7, 0.83),
        truncated(student(38.7, 0.06, 5.0), 1.0, 1e5),
        truncated(beta(0.6, 0.85, 5.0, 2.0), 0.7, 0.8)}) {
    std::vector<double> x;
    for (double z = -9.0; z < 9.0; z += 0.0371) x.push_back(quantile_at_score(law.law(), z));
    for (const double share : {-0.1, 0.0, 0.3, 1.0, 1.1}) {
      const double low = std::max(lowest(law), 0.0);
      x.push_back(low + share * (std::min(highest(law), 1.0) - low));
    }
    std::vector<double> below(x.size());
    std::vector<double> above(x);
    cdf_below(law, x, below);
    complement(law, x, above);  // in place
    for (std::size_t i = 0; i < x.size(); ++i) {
      const double p = cdf_below(law, x[i]);
      const double q = complement(law, x[i]);
      EXPECT_NEAR(below[i], p, 1e-6 * std::max(p, 1e-300)) << x[i];
      EXPECT_NEAR(above[i], q, 1e-6 * std::max(q, 1e-300)) << x[i];
    }
  }
}

TEST(ScoreTable, IsHeldWithinTheLawAndSharedByCopies) {
  const Distribution law = beta(0.2, 0.3, 0.5, 0.5);
  const Distribution copy = law;
  EXPECT_EQ(&law.law().scores(), &copy.law().scores());
  for (const double z : {-1e300, -10.5, 10.5, 1e300}) {
    double x = 0.0;
    law.law().scores().quantile(std::span(&z, 1), &x);
    EXPECT_GE(x, 0.2);
    EXPECT_LE(x, 0.3);
  }
  EXPECT_FALSE(normal(0.0, 1.0).law().traits().searched);
  EXPECT_FALSE(truncated(normal(0.0, 1.0), 0.0, 1.0).law().traits().searched);
}

}  // namespace
}  // namespace blendrisk::distributions
