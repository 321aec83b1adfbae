#pragma once

#include <algorithm>
#include <boost/math/policies/policy.hpp>
#include <boost/math/quadrature/gauss.hpp>

/// What the laws from Boost.Math have in common.
namespace blendrisk::distributions::laws {

namespace policies = boost::math::policies;

/// A tail that underflows is 0 and a quantile that overflows is infinite; in double, or in long
/// double inside.
template <bool kWider>
using QuietIn = policies::policy<policies::promote_double<kWider>,
                                 policies::overflow_error<policies::ignore_error>,
                                 policies::underflow_error<policies::ignore_error>,
                                 policies::evaluation_error<policies::ignore_error>>;
using Quiet = QuietIn<false>;
using QuietWider = QuietIn<true>;

/// P(a < X <= b) from the nearer tail; Gauss quadrature of the density (30 nodes) where the
/// difference would lose three digits or more and the density changes little.
template <class Law>
double interval_by_tails(const Law& law, double a, double b) {
  if (!(a < b)) return 0.0;
  const double above_a = upper(law, a);
  const double below_b = lower(law, b);
  double whole = 1.0;
  double difference = 0.0;
  if (above_a <= 0.5) {
    whole = above_a;
    difference = above_a - upper(law, b);
  } else if (below_b <= 0.5) {
    whole = below_b;
    difference = below_b - lower(law, a);
  } else {
    difference = 1.0 - lower(law, a) - upper(law, b);
  }
  if (difference > 1e-3 * whole || whole == 0.0) return difference;
  const auto height = [&law](double x) { return density(law, x); };
  const auto [least, greatest] = std::minmax({height(a), height(a + 0.5 * (b - a)), height(b)});
  if (!(greatest < 10.0 * least)) return difference;
  return boost::math::quadrature::gauss<double, 30>::integrate(height, a, b);
}

}  // namespace blendrisk::distributions::laws
