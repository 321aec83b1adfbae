#pragma once

#include <algorithm>
#include <boost/math/distributions/complement.hpp>
#include <boost/math/policies/policy.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>

#include "distributions/law.hpp"

/// Laws from Boost.Math, and the search for a quantile where it has none that holds.
namespace blendrisk::distributions {

/// A tail that underflows is 0 and a quantile that overflows is infinite; in double, or in long
/// double inside.
template <bool k_wider>
using QuietIn = boost::math::policies::policy<
    boost::math::policies::promote_double<k_wider>,
    boost::math::policies::overflow_error<boost::math::policies::ignore_error>,
    boost::math::policies::underflow_error<boost::math::policies::ignore_error>,
    boost::math::policies::evaluation_error<boost::math::policies::ignore_error>>;
using Quiet = QuietIn<false>;
#ifdef BLENDRISK_NO_WIDER_FLOATS
// Where long double is computed by software the last digits are not worth its time and size.
using QuietWider = Quiet;
#else
using QuietWider = QuietIn<true>;
#endif

/// The y in [low, high] at which `tail`, which rises or falls all the way, is p > 0, within 1e-12
/// of itself; the nearer end where it does not get there. TOMS 748 for the tail's logarithm.
template <class Tail>
double where_tail_is(const Tail& tail, double p, double low, double high) {
  constexpr double k_smallest = std::numeric_limits<double>::denorm_min();
  const auto off = [&](double y) { return std::log(std::max(tail(y), k_smallest) / p); };
  const double at_low = off(low);
  const double at_high = off(high);
  if ((at_low < 0.0) == (at_high < 0.0)) {
    return std::abs(at_low) < std::abs(at_high) ? low : high;
  }
  const auto near = [](double a, double b) {
    return std::abs(b - a) <= 1e-12 * std::min(std::abs(a), std::abs(b));
  };
  std::uintmax_t steps = 200;
  const auto ends =
      boost::math::tools::toms748_solve(off, low, high, at_low, at_high, near, steps, Quiet());
  return 0.5 * (ends.first + ends.second);
}

/// origin + scale T with T a law of Boost.Math.
template <class Standard>
class FromBoost : public Continuous {
 public:
  FromBoost(double origin, double scale, const Standard& standard)
      : origin_(origin), scale_(scale), standard_(standard) {}
  double lower(double x) const override { return tail(true, (x - origin_) / scale_); }
  double upper(double x) const override { return tail(false, (x - origin_) / scale_); }
  double lower_quantile(double p) const override { return origin_ + scale_ * inverse(true, p); }
  double upper_quantile(double q) const override { return origin_ + scale_ * inverse(false, q); }
  double density(double x) const override { return height((x - origin_) / scale_) / scale_; }
  double average() const override { return origin_ + scale_ * mean(standard_); }
  double lowest() const override { return end(support(standard_).first); }
  double highest() const override { return end(support(standard_).second); }

 protected:
  /// P(T <= t) or P(T > t) within the support, and the density of T.
  virtual double tail_inside(bool lower, double t) const {
    return lower ? cdf(standard_, t) : cdf(boost::math::complement(standard_, t));
  }
  virtual double height(double t) const { return pdf(standard_, t); }
  /// Whether Boost's quantile of a tail p <= 1/2 is known to hold, which spares a look.
  virtual bool holds(double /*p*/) const { return false; }

  double tail(bool lower, double t) const {
    const auto [least, most] = support(standard_);
    if (t <= least) return lower ? 0.0 : 1.0;
    if (t >= most) return lower ? 1.0 : 0.0;
    return tail_inside(lower, t);
  }

  /// The t at which that tail is p: Boost's where it holds, else by a search for asinh t and one
  /// Newton step.
  double inverse(bool lower, double p) const {
    if (p > 0.5) return inverse(!lower, 1.0 - p);
    const double quick =
        lower ? quantile(standard_, p) : quantile(boost::math::complement(standard_, p));
    if (holds(p) || std::abs(tail(lower, quick) - p) <= 2e-15 * p) return quick;
    const auto [least, most] = support(standard_);
    const double t = std::sinh(where_tail_is([&](double y) { return tail(lower, std::sinh(y)); }, p,
                                             std::asinh(std::max(least, -k_largest)),
                                             std::asinh(std::min(most, k_largest))));
    const double step = (tail(lower, t) - p) / (lower ? height(t) : -height(t));
    return std::isfinite(step) ? t - step : t;
  }

  double origin_, scale_;
  Standard standard_;

 private:
  static constexpr double k_largest = std::numeric_limits<double>::max();

  double end(double t) const {
    return std::abs(t) < k_largest ? origin_ + scale_ * t : std::copysign(k_infinity, t);
  }
};

}  // namespace blendrisk::distributions
