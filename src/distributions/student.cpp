#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>
#include <numbers>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/from_boost.hpp"

namespace blendrisk::distributions {
namespace {

using Standard = boost::math::students_t_distribution<double, Quiet>;

class Student final : public FromBoost<Standard> {
 public:
  Student(double center, double scale, double dof)
      : FromBoost(center, scale, Standard(dof)),
        dof_(dof),
        root_(std::sqrt(dof)),
        top_(std::numbers::inv_sqrtpi / root_ /
             boost::math::tgamma_delta_ratio(0.5 * dof, 0.5, Quiet())) {}
  double upper_quantile(double q) const override { return origin_ - scale_ * inverse(true, q); }
  double average() const override { return origin_; }
  Traits traits() const override { return {.bell_shaped = true, .searched = true}; }
  Distribution shifted(double by) const override { return student(origin_ + by, scale_, dof_); }

  // t times the density is the derivative of −dof/(dof − 1) c w(t), w = (1 + t²/dof)^−(dof − 1)/2
  // and c the density at 0; the difference of two w through their logarithms, which also holds at
  // dof 1.
  double average_in(const Window& window) const override {
    const double from = (window.low - origin_) / scale_;
    const double to = (window.high - origin_) / scale_;
    const double extent = std::hypot(std::min(1.0, root_), std::clamp(0.0, from, to));
    if (!(to - from > 0.1 * extent)) return Continuous::average_in(window);
    const double nearer = std::min(std::abs(from), std::abs(to));
    const double base = std::hypot(root_, nearer);
    const double farther = std::hypot(root_, std::max(std::abs(from), std::abs(to)));
    // ln of farther/base: their squares differ by (to − from)(to + from).
    const double change = std::abs((to - from) / base * ((to + from) / base));
    const double log_ratio = change < 1.0 ? 0.5 * std::log1p(change) : std::log(farther / base);
    const double power = (dof_ - 1.0) * log_ratio;
    const double part = power == 0.0 ? log_ratio : -std::expm1(-power) / (dof_ - 1.0);
    const double height = dof_ * top_ * std::exp((1.0 - dof_) * log_base(nearer));
    const double sign = std::abs(from) < std::abs(to) ? 1.0 : -1.0;
    return origin_ + scale_ * (sign * height * part / window.mass);
  }

 protected:
  // Boost takes one degree of freedom through acos of a rounded root, and squares t, which
  // overflows; far out the first term of DLMF 8.17.7 is all there is.
  double tail_inside(bool lower, double t) const override {
    const double out = lower ? -t : t;
    if (dof_ == 1.0) return std::numbers::inv_pi * std::atan2(1.0, out);
    if (std::abs(t) < k_far * root_) return cdf(standard_, -out);
    const double far = top_ / root_ * std::exp(-dof_ * log_base(t));
    return out > 0.0 ? far : 1.0 - far;
  }
  double height(double t) const override { return top_ * std::exp(-(dof_ + 1.0) * log_base(t)); }
  // With four degrees of freedom and six Boost takes the root of a rounded difference.
  bool holds(double p) const override {
    return dof_ > 1.0 && p > 1e-24 && (p < 0.1 || (dof_ != 4.0 && dof_ != 6.0));
  }

 private:
  static constexpr double k_far = 1e100;

  /// ln sqrt(1 + t²/dof).
  double log_base(double t) const {
    const double ratio = std::abs(t / root_);
    return ratio < k_far ? 0.5 * std::log1p(ratio * ratio) : std::log(ratio);
  }

  double dof_, root_, top_;  // top_: the density at 0
};

}  // namespace

Distribution student(double center, double scale, double dof) {
  require_finite({center, scale, dof}, "student");
  require(scale > 0.0, "student: the scale must be above 0");
  // Below, Boost's inverse no longer rises.
  require(dof >= 0.02 && dof <= 1e9, "student: the degrees of freedom must be from 0.02 to 1e9");
  return make<Student>(center, scale, dof);
}

Distribution tests(std::span<const double> values) {
  require(values.size() >= 2, "tests: at least two values are needed");
  const auto n = static_cast<double>(values.size());
  for (const double value : values) require_finite({value}, "tests");
  // About the first value: the mean of equal values is then that value, and large ones keep digits.
  double shift = 0.0;
  for (const double value : values) shift += (value - values[0]) / n;
  double squares = 0.0;
  for (const double value : values) {
    const double off = (value - values[0]) - shift;
    squares += off * off;
  }
  const double scale = std::sqrt(squares / (n - 1.0) / n);
  require(scale > 0.0, "tests: the values must not all be equal, or they say nothing of scatter");
  return student(values[0] + shift, scale, n - 1.0);
}

const Form student_form{"student(center, scale, dof)",
                        "scaled and shifted t; dof is its degrees of freedom", "pwn",
                        [](Values v) { return student(v[0], v[1], v[2]); }};
const Form tests_form{
    "tests(x1, x2, ...)",
    // The clause from memory.
    "what repeated measurements say of the value: the scaled and shifted t of JCGM 101:2008, "
    "clause 6.4.9",
    "p*", tests};

}  // namespace blendrisk::distributions
