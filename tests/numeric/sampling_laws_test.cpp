#include "numeric/sampling_laws.hpp"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gtest/gtest.h>

#include <stdexcept>

// The reference is GSL, whose chances hold to ten digits and more; quantiles are held by the chance
// below them.
namespace blendrisk::numeric {
namespace {

constexpr double k_dofs[] = {1.0, 2.5, 15.0, 240.0};
constexpr double k_chances[] = {1e-6, 0.025, 0.5, 0.975};

double near(double wanted) {
  return 1e-9 * wanted;
}

TEST(SamplingLaws, StudentsTIsThatOfGsl) {
  for (const double dof : k_dofs) {
    for (const double x : {-8.0, -2.0, 0.0, 0.7, 4.0}) {
      const double wanted = gsl_cdf_tdist_P(x, dof);
      EXPECT_NEAR(student_t_cdf(dof, x), wanted, near(wanted)) << dof << ' ' << x;
    }
    for (const double p : k_chances) {
      EXPECT_NEAR(gsl_cdf_tdist_P(student_t_quantile(dof, p), dof), p, near(p)) << dof;
      EXPECT_NEAR(gsl_cdf_tdist_Q(student_t_upper_quantile(dof, p), dof), p, near(p)) << dof;
    }
  }
}

TEST(SamplingLaws, ChiSquaredIsThatOfGsl) {
  for (const double dof : k_dofs) {
    for (const double x : {0.1, 1.0, 12.0, 260.0}) {
      EXPECT_NEAR(chi_squared_cdf(dof, x), gsl_cdf_chisq_P(x, dof), near(gsl_cdf_chisq_P(x, dof)));
      EXPECT_NEAR(chi_squared_tail(dof, x), gsl_cdf_chisq_Q(x, dof), near(gsl_cdf_chisq_Q(x, dof)));
      const double density = gsl_ran_chisq_pdf(x, dof);
      EXPECT_NEAR(chi_squared_density(dof, x), density, near(density)) << dof << ' ' << x;
    }
    for (const double p : k_chances) {
      EXPECT_NEAR(gsl_cdf_chisq_P(chi_squared_quantile(dof, p), dof), p, near(p)) << dof;
      EXPECT_NEAR(gsl_cdf_chisq_Q(chi_squared_upper_quantile(dof, p), dof), p, near(p)) << dof;
    }
  }
}

TEST(SamplingLaws, FAndBetaAreThoseOfGsl) {
  for (const double within : k_dofs) {
    for (const double between : {1.0, 2.0, 7.0}) {
      const double wanted = gsl_cdf_fdist_Q(3.5, between, within);
      EXPECT_NEAR(fisher_f_tail(between, within, 3.5), wanted, near(wanted));
      const double f = fisher_f_quantile(between, within, 0.95);
      EXPECT_NEAR(gsl_cdf_fdist_P(f, between, within), 0.95, near(0.95));
      const double x = beta_quantile(between, within, 0.025);
      EXPECT_NEAR(gsl_cdf_beta_P(x, between, within), 0.025, near(0.025));
    }
  }
}

TEST(SamplingLaws, NoDegreesOfFreedomAreRefused) {
  EXPECT_THROW(student_t_quantile(0.0, 0.975), std::domain_error);
  EXPECT_THROW(chi_squared_quantile(-1.0, 0.5), std::domain_error);
  EXPECT_THROW(fisher_f_tail(1.0, 0.0, 2.0), std::domain_error);
}

}  // namespace
}  // namespace blendrisk::numeric
