#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "distributions/laws.hpp"
#include "distributions/tails.hpp"
#include "numeric/arrays.hpp"

namespace blendrisk::distributions::laws {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

using StandardStudent = boost::math::students_t_distribution<double, Quiet>;

}  // namespace

double lower(const Normal& law, double x) {
  return numeric::normal_cdf((x - law.mean) / law.sd);
}

double upper(const Normal& law, double x) {
  return numeric::normal_cdf((law.mean - x) / law.sd);
}

double lower_quantile(const Normal& law, double p) {
  return law.mean + law.sd * numeric::normal_quantile(p);
}

double upper_quantile(const Normal& law, double q) {
  return law.mean - law.sd * numeric::normal_quantile(q);
}

double interval(const Normal& law, double a, double b) {
  return numeric::normal_interval((a - law.mean) / law.sd, (b - law.mean) / law.sd);
}

double density(const Normal& law, double x) {
  const double z = (x - law.mean) / law.sd;
  return std::exp(-0.5 * z * z) * std::numbers::inv_sqrtpi / (std::numbers::sqrt2 * law.sd);
}

double mean(const Normal& law) {
  return law.mean;
}

double lowest(const Normal&) {
  return -kInfinity;
}

double highest(const Normal&) {
  return kInfinity;
}

double lower(const Student& law, double x) {
  const double t = (x - law.center) / law.scale;
  if (std::isinf(t)) return t > 0.0 ? 1.0 : 0.0;
  return boost::math::cdf(StandardStudent(law.dof), t);
}

double upper(const Student& law, double x) {
  const double t = (law.center - x) / law.scale;
  if (std::isinf(t)) return t > 0.0 ? 1.0 : 0.0;
  return boost::math::cdf(StandardStudent(law.dof), t);
}

double lower_quantile(const Student& law, double p) {
  return law.center + law.scale * boost::math::quantile(StandardStudent(law.dof), p);
}

double upper_quantile(const Student& law, double q) {
  return law.center - law.scale * boost::math::quantile(StandardStudent(law.dof), q);
}

double interval(const Student& law, double a, double b) {
  return interval_by_tails(law, a, b);
}

double density(const Student& law, double x) {
  const double t = (x - law.center) / law.scale;
  return std::isinf(t) ? 0.0 : boost::math::pdf(StandardStudent(law.dof), t) / law.scale;
}

double mean(const Student& law) {
  return law.center;
}

double lowest(const Student&) {
  return -kInfinity;
}

double highest(const Student&) {
  return kInfinity;
}

}  // namespace blendrisk::distributions::laws
