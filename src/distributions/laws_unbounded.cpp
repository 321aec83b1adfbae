#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/gamma.hpp>
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

/// Boost squares t, which overflows far out; from t^2 = 9 dof on, the series below takes its place,
/// of 17 terms at most.
bool in_far_tail(double t, double dof) {
  return t >= 3.0 * std::sqrt(dof);
}

/// dof/(dof + t^2) to the power 1/2, which does not overflow.
double nearness(double t, double dof) {
  const double root = std::sqrt(dof);
  return root / std::hypot(root, t);
}

/// P(T > t)/r^dof in the far tail, r = nearness: with a = dof/2 and x = r^2, the sum over n of
/// (1/2)_n/n! a/(a + n) x^n, divided by 2 a B(a, 1/2). Source: DLMF 8.17.7.
double far_tail_factor(double r, double dof) {
  const double a = 0.5 * dof;
  const double x = r * r;
  double power = 1.0;
  double sum = 1.0;
  for (int n = 1; n < 40 && power > 1e-17; ++n) {
    power *= x * (n - 0.5) / n;
    sum += power * (a / (a + n));
  }
  return 0.5 * std::numbers::inv_sqrtpi * boost::math::tgamma_delta_ratio(a + 0.5, 0.5, Quiet()) *
         sum;
}

/// P(T > t) of the standard law for t >= 0. Closed forms for one degree of freedom and two.
double standard_tail(double t, double dof) {
  if (dof == 1.0) return std::numbers::inv_pi * std::atan2(1.0, t);
  if (dof == 2.0) {
    const double h = std::hypot(t, std::numbers::sqrt2);
    return 1.0 / h / (h + t);
  }
  if (!in_far_tail(t, dof)) return boost::math::cdf(StandardStudent(dof), -t);
  const double r = nearness(t, dof);
  return std::pow(r, dof) * far_tail_factor(r, dof);
}

double standard_lower(double t, double dof) {
  return t < 0.0 ? standard_tail(-t, dof) : 1.0 - standard_tail(t, dof);
}

// Where Boost takes the root of a rounded difference, t of four degrees of freedom and six from
// s = t/sqrt(dof + t^2), of which P(0 < T <= t) = `share` is a polynomial.

/// s(3 − s^2)/4 = share, by the sine of a third of an angle.
double central_quantile_4(double share) {
  const double s = 2.0 * std::sin(std::asin(2.0 * share) / 3.0);
  return 2.0 * s / std::sqrt((1.0 - s) * (1.0 + s));
}

/// s(15 − 10 s^2 + 3 s^4)/16 = share, by a Newton step from Boost's s.
double central_quantile_6(double share) {
  const double root = std::sqrt(6.0);
  const double start = -boost::math::quantile(StandardStudent(6.0), 0.5 - share);
  double s = start / std::hypot(root, start);
  const double square = s * s;
  const double slope = 15.0 * (1.0 - square) * (1.0 - square);
  s -= (s * (15.0 + square * (3.0 * square - 10.0)) - 16.0 * share) / slope;
  return root * s / std::sqrt((1.0 - s) * (1.0 + s));
}

/// The t >= 0 with P(T > t) = q, q <= 1/2.
double standard_tail_quantile(double q, double dof) {
  if (dof == 1.0) {
    return q < 0.25 ? 1.0 / std::tan(std::numbers::pi * q) : std::tan(std::numbers::pi * (0.5 - q));
  }
  if (dof == 2.0) return (1.0 - 2.0 * q) / std::sqrt(2.0 * q * (1.0 - q));
  if (dof == 4.0 && q > 0.1) return central_quantile_4(0.5 - q);
  if (dof == 6.0 && q > 0.1) return central_quantile_6(0.5 - q);
  // The power law, solved again with the factor of its last solution: each time the change of r
  // shrinks to a twentieth or less.
  double r = std::pow(q / far_tail_factor(0.0, dof), 1.0 / dof);
  if (!(r * r < 0.1)) return -boost::math::quantile(StandardStudent(dof), q);
  for (int step = 0; step < 14; ++step) {
    const double last = r;
    r = std::pow(q / far_tail_factor(r, dof), 1.0 / dof);
    if (std::abs(r - last) <= 1e-16 * r) break;
  }
  return std::sqrt(dof) * std::sqrt(1.0 - r * r) / r;
}

double standard_quantile(double p, double dof) {
  return p <= 0.5 ? -standard_tail_quantile(p, dof) : standard_tail_quantile(1.0 - p, dof);
}

double center_density(double dof) {
  return std::numbers::inv_sqrtpi / std::sqrt(dof) /
         boost::math::tgamma_delta_ratio(0.5 * dof, 0.5, Quiet());
}

double standard_density(double t, double dof) {
  const double size = std::abs(t);
  if (!in_far_tail(size, dof)) return boost::math::pdf(StandardStudent(dof), size);
  return center_density(dof) * std::pow(nearness(size, dof), dof + 1.0);
}

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
  return numeric::normal_interval((a - law.mean) / law.sd, (b - law.mean) / law.sd,
                                  (b - a) / law.sd);
}

double density(const Normal& law, double x) {
  const double z = (x - law.mean) / law.sd;
  return std::exp(-0.5 * z * z) * std::numbers::inv_sqrtpi / (std::numbers::sqrt2 * law.sd);
}

double mean(const Normal& law) {
  return law.mean;
}

double lowest(const Normal& /*law*/) {
  return -kInfinity;
}

double highest(const Normal& /*law*/) {
  return kInfinity;
}

double lower(const Student& law, double x) {
  const double t = (x - law.center) / law.scale;
  return standard_lower(t, law.dof);
}

double upper(const Student& law, double x) {
  const double t = (law.center - x) / law.scale;
  return standard_lower(t, law.dof);
}

double lower_quantile(const Student& law, double p) {
  return law.center + law.scale * standard_quantile(p, law.dof);
}

double upper_quantile(const Student& law, double q) {
  return law.center - law.scale * standard_quantile(q, law.dof);
}

double interval(const Student& law, double a, double b) {
  return interval_by_tails(law, a, b);
}

double density(const Student& law, double x) {
  const double t = (x - law.center) / law.scale;
  return standard_density(t, law.dof) / law.scale;
}

// t times the density is the derivative of −dof/(dof − 1) c w(t), w = (1 + t²/dof)^−(dof − 1)/2 and
// c the density at 0; the difference of two w through their logarithms, which also holds at dof 1.
double partial_mean(const Student& law, double a, double b, double mass) {
  const double from = (a - law.center) / law.scale;
  const double to = (b - law.center) / law.scale;
  const double root = std::sqrt(law.dof);
  const double nearer = std::min(std::abs(from), std::abs(to));
  const double base = std::hypot(root, nearer);
  const double farther = std::hypot(root, std::max(std::abs(from), std::abs(to)));
  // ln of farther/base: their squares differ by (to − from)(to + from).
  const double change = std::abs((to - from) / base * ((to + from) / base));
  const double log_ratio = change < 1.0 ? 0.5 * std::log1p(change) : std::log(farther / base);
  const double power = (law.dof - 1.0) * log_ratio;
  const double part = power == 0.0 ? log_ratio : -std::expm1(-power) / (law.dof - 1.0);
  // dof c w(nearer); the second form does not underflow.
  const double height =
      in_far_tail(nearer, law.dof)
          ? law.dof * center_density(law.dof) * std::pow(nearness(nearer, law.dof), law.dof - 1.0)
          : standard_density(nearer, law.dof) * base * base;
  const double sign = std::abs(from) < std::abs(to) ? 1.0 : -1.0;
  return law.center + law.scale * (sign * height * part / mass);
}

double extent(const Student& law, double a, double b) {
  const double nearest = std::clamp(law.center, a, b) - law.center;
  return std::hypot(law.scale * std::min(1.0, std::sqrt(law.dof)), nearest);
}

double mean(const Student& law) {
  return law.center;
}

double lowest(const Student& /*law*/) {
  return -kInfinity;
}

double highest(const Student& /*law*/) {
  return kInfinity;
}

}  // namespace blendrisk::distributions::laws
