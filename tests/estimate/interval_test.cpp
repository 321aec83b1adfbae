#include "estimate/interval.hpp"

#include <gsl/gsl_cdf.h>
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace blendrisk::estimate {
namespace {

// By the beta distribution function of the GNU Scientific Library.
TEST(Interval, CountsHaveClopperAndPearsonsLimits) {
  struct Count {
    std::uint64_t hits, n;
  };
  for (const Count& c : {Count{1, 10}, Count{3, 50}, Count{500, 1000}, Count{7, 1'000'000},
                         Count{115'000, 1'000'000}, Count{999, 1000}}) {
    const auto k = static_cast<double>(c.hits);
    const auto n = static_cast<double>(c.n);
    const Estimate e = clopper_pearson(c.hits, c.n);
    EXPECT_DOUBLE_EQ(e.chance, k / n);
    EXPECT_NEAR(gsl_cdf_beta_P(e.interval[0], k, n - k + 1.0), 0.025, 1e-9);
    EXPECT_NEAR(gsl_cdf_beta_Q(e.interval[1], k + 1.0, n - k), 0.025, 1e-9);
    EXPECT_FALSE(e.upper_bound_only);
  }
}

// 0 of n: 1 − 0.025^(1/n); n of n is its mirror image. 0 of 10: 0.3085 (computed by that
// formula).
TEST(Interval, NoHitIsAnUpperBound) {
  const Estimate none = clopper_pearson(0, 10);
  EXPECT_EQ(none.chance, 0.0);
  EXPECT_TRUE(none.upper_bound_only);
  EXPECT_NEAR(none.interval[1], 0.3085, 5e-5);
  EXPECT_NEAR(none.interval[1], 1.0 - std::pow(0.025, 0.1), 1e-15);
  const Estimate all = clopper_pearson(10, 10);
  EXPECT_EQ(all.interval[1], 1.0);
  EXPECT_NEAR(all.interval[0], std::pow(0.025, 0.1), 1e-12);
  EXPECT_NEAR(clopper_pearson(0, 1'000'000'000).interval[1], 3.6888794e-9, 1e-15);
}

TEST(Interval, MeanAndItsVariance) {
  const std::vector<double> replicates{1.0, 2.0, 4.0, 5.0};
  const MeanOfReplicates mean = mean_of(replicates);
  EXPECT_DOUBLE_EQ(mean.mean, 3.0);
  EXPECT_DOUBLE_EQ(mean.variance, 10.0 / 3.0 / 4.0);  // (4 + 1 + 1 + 4)/(n − 1)/n
  EXPECT_EQ(mean.dof, 3.0);
}

// Student's t by the GNU Scientific Library; t(15, 0.975) = 2.131 (computed: SciPy 1.10).
TEST(Interval, StudentsFactor) {
  for (const double dof : {15.0, 63.0, 4.7}) {
    const Estimate e = student_estimate({0.5, 1e-6, dof});
    EXPECT_NEAR((e.interval[1] - 0.5) / 1e-3, gsl_cdf_tdist_Pinv(0.975, dof), 1e-9);
    EXPECT_NEAR((0.5 - e.interval[0]) / 1e-3, gsl_cdf_tdist_Pinv(0.975, dof), 1e-9);
  }
  EXPECT_NEAR((student_estimate({0.5, 1e-6, 15.0}).interval[1] - 0.5) / 1e-3, 2.131, 5e-4);
}

TEST(Interval, StaysWithinChances) {
  const Estimate low = student_estimate({1e-4, 1e-6, 15.0});
  EXPECT_EQ(low.interval[0], 0.0);
  EXPECT_TRUE(low.upper_bound_only);
  const Estimate above = student_estimate({1.01, 1e-6, 15.0});  // a quotient
  EXPECT_EQ(above.chance, 1.0);
  EXPECT_NEAR(above.interval[0], 1.0 - 2.131e-3, 5e-7);
  EXPECT_EQ(above.interval[1], 1.0);
  const Estimate high = student_estimate({0.9999, 1e-6, 15.0});
  EXPECT_EQ(high.interval[1], 1.0);
  EXPECT_FALSE(high.upper_bound_only);
}

// JCGM 100:2008, G.4.1 (from memory): u = sqrt(u1² + u2²), ν = u⁴/(u1⁴/ν1 + u2⁴/ν2). Equal parts of
// 15 degrees give 30; a part without error changes nothing.
TEST(Interval, SumsByWelchAndSatterthwaite) {
  const MeanOfReplicates one{0.1, 4e-8, 15.0};
  const MeanOfReplicates both = welch_satterthwaite(one, one);
  EXPECT_DOUBLE_EQ(both.mean, 0.2);
  EXPECT_DOUBLE_EQ(both.variance, 8e-8);
  EXPECT_NEAR(both.dof, 30.0, 1e-12);
  const MeanOfReplicates uneven = welch_satterthwaite({0.1, 1e-300, 15.0}, {0.1, 4e-300, 63.0});
  EXPECT_NEAR(uneven.dof, 25.0 / (1.0 / 15.0 + 16.0 / 63.0), 1e-10);
  const MeanOfReplicates with_exact = welch_satterthwaite(one, {0.3, 0.0, 0.0});
  EXPECT_EQ(with_exact.dof, 15.0);
  EXPECT_EQ(with_exact.variance, 4e-8);
}

}  // namespace
}  // namespace blendrisk::estimate
