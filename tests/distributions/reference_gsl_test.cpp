#include <gsl/gsl_cdf.h>
#include <gtest/gtest.h>

#include <cmath>

#include "distributions/families.hpp"

// Against the GNU Scientific Library 2.7, written independently of Boost.Math.
namespace blendrisk::distributions {
namespace {

void expect_relative(double got, double wanted, double tolerance, double at) {
  ASSERT_NEAR(got, wanted, tolerance * std::abs(wanted)) << "at " << at;
}

TEST(ReferenceGsl, NormalTailsTo1e300) {
  const Distribution law = normal(0.0, 1.0);
  for (double z = -37.0; z <= 37.0; z += 0.037) {
    expect_relative(cdf(law, z), gsl_cdf_ugaussian_P(z), 1e-12, z);
    expect_relative(complement(law, z), gsl_cdf_ugaussian_Q(z), 1e-12, z);
  }
}

TEST(ReferenceGsl, NormalQuantilesTo1e300) {
  const Distribution law = normal(0.0, 1.0);
  for (double p = 1e-299; p < 0.5; p *= 7.3) {
    expect_relative(quantile(law, p), gsl_cdf_ugaussian_Pinv(p), 1e-12, p);
    expect_relative(quantile_complement(law, p), gsl_cdf_ugaussian_Qinv(p), 1e-12, p);
  }
}

TEST(ReferenceGsl, StudentTails) {
  for (const double dof : {1.0, 2.0, 4.5, 9.0, 30.0, 200.0}) {
    const Distribution law = student(2.0, 3.0, dof);
    for (double t = 0.0; t < 1e9; t = t * 1.31 + 0.05) {
      const double wanted = gsl_cdf_tdist_Q(t, dof);
      if (wanted < 1e-299) break;
      // There GSL takes a Cornish–Fisher expansion of six to nine digits: 3.98209503690957e-37 for
      // P(T > 15.732238602976686) of 200 degrees, which is 3.98209503691717e-37 (mpmath, 60
      // digits). Distribution.FarTailsOfStudentAndBetaFollowTheirSeries has values there.
      if (dof > 30.0 && t * t < 10.0 * dof) continue;
      // x = 2 + 3 t rounds, which a tail of power dof multiplies.
      const double tolerance = 1e-12 + dof * 4e-16;
      expect_relative(complement(law, 2.0 + 3.0 * t), wanted, tolerance, t);
      expect_relative(cdf(law, 2.0 - 3.0 * t), gsl_cdf_tdist_P(-t, dof), tolerance, t);
    }
  }
}

TEST(ReferenceGsl, BetaTails) {
  const double shapes[][2] = {{0.5, 0.5}, {1.0, 3.0}, {2.0, 5.0}, {30.0, 4.0}, {0.7, 12.0}};
  for (const auto& shape : shapes) {
    const Distribution law = beta(0.0, 1.0, shape[0], shape[1]);
    for (double x = 1e-300; x < 0.5; x *= 1.9) {
      const double lower = gsl_cdf_beta_P(x, shape[0], shape[1]);
      if (lower > 1e-299) expect_relative(cdf(law, x), lower, 1e-12, x);
      expect_relative(complement(law, x), gsl_cdf_beta_Q(x, shape[0], shape[1]), 1e-12, x);
    }
    for (double x = 0.5; x < 1.0; x += 0.0173) {
      expect_relative(cdf(law, x), gsl_cdf_beta_P(x, shape[0], shape[1]), 1e-12, x);
      expect_relative(complement(law, x), gsl_cdf_beta_Q(x, shape[0], shape[1]), 1e-12, x);
    }
  }
}

TEST(ReferenceGsl, UniformTails) {
  const Distribution law = uniform(0.0, 8.0);
  for (double x = 1e-299; x < 8.0; x *= 2.7) {
    expect_relative(cdf(law, x), gsl_cdf_flat_P(x, 0.0, 8.0), 1e-15, x);
    expect_relative(complement(law, x), gsl_cdf_flat_Q(x, 0.0, 8.0), 1e-15, x);
  }
}

}  // namespace
}  // namespace blendrisk::distributions
