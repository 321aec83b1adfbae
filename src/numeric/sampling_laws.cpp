#include "numeric/sampling_laws.hpp"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/beta.hpp>

namespace blendrisk::numeric {
namespace {

/// Without long doubles, which would tell no more digits that count where many are asked for.
using InDoubles = boost::math::policies::policy<boost::math::policies::promote_double<false>>;
using StudentT = boost::math::students_t_distribution<double, InDoubles>;
using ChiSquared = boost::math::chi_squared;
using FisherF = boost::math::fisher_f;

}  // namespace

double student_t_cdf(double dof, double x) {
  return cdf(StudentT(dof), x);
}

double student_t_quantile(double dof, double p) {
  return quantile(StudentT(dof), p);
}

double student_t_upper_quantile(double dof, double tail) {
  return quantile(complement(StudentT(dof), tail));
}

double chi_squared_cdf(double dof, double x) {
  return cdf(ChiSquared(dof), x);
}

double chi_squared_tail(double dof, double x) {
  return cdf(complement(ChiSquared(dof), x));
}

double chi_squared_density(double dof, double x) {
  return pdf(ChiSquared(dof), x);
}

double chi_squared_quantile(double dof, double p) {
  return quantile(ChiSquared(dof), p);
}

double chi_squared_upper_quantile(double dof, double tail) {
  return quantile(complement(ChiSquared(dof), tail));
}

double fisher_f_tail(double between, double within, double f) {
  return cdf(complement(FisherF(between, within), f));
}

double fisher_f_quantile(double between, double within, double p) {
  return quantile(FisherF(between, within), p);
}

double beta_quantile(double a, double b, double p) {
  return boost::math::ibeta_inv(a, b, p, InDoubles());
}

}  // namespace blendrisk::numeric
