#include <algorithm>
#include <boost/math/special_functions/beta.hpp>
#include <cmath>
#include <numbers>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/from_boost.hpp"

namespace blendrisk::distributions {
namespace {

/// A beta law on [0, 1], by the regularised incomplete beta function of the distance t to one bound
/// and of the distance `rest` to the other, whichever is shorter.
struct Shape {
  double a, b;

  Shape mirrored() const { return {b, a}; }

  /// P(T <= t).
  double lower(double t, double rest) const {
    // Boost takes this case through acos of a rounded root.
    if (a == 0.5 && b == 0.5) {
      return 2.0 * std::numbers::inv_pi * std::atan2(std::sqrt(t), std::sqrt(rest));
    }
    if (t <= 0.5) {
      return wide() ? boost::math::ibeta(a, b, t, QuietWider())
                    : boost::math::ibeta(a, b, t, Quiet());
    }
    return wide() ? boost::math::ibetac(b, a, rest, QuietWider())
                  : boost::math::ibetac(b, a, rest, Quiet());
  }

  double density(double t, double rest) const {
    if (t > rest) return mirrored().density(rest, t);
    return wide() ? boost::math::ibeta_derivative(a, b, t, QuietWider())
                  : boost::math::ibeta_derivative(a, b, t, Quiet());
  }

  /// {t, rest} at P(T <= t) = p: Boost's, or by a search for ln(t/rest) and one Newton step.
  std::pair<double, double> quantile(double p) const {
    if (p > 0.5) {
      const auto [t, rest] = mirrored().quantile(1.0 - p);
      return {rest, t};
    }
    if (p > 1e-4 && std::min(a, b) > 0.2 && std::max(a, b) < 1e4) {  // Boost's is fast and holds
      double rest = 0.0;
      const double t = boost::math::ibeta_inv(a, b, p, &rest, Quiet());
      return {t, rest};
    }
    constexpr double k_farthest = 708.0;  // t is not yet 0
    const auto share = [](double y) { return 1.0 / (1.0 + std::exp(-y)); };
    const double y = where_tail_is([&](double at) { return lower(share(at), share(-at)); }, p,
                                   -k_farthest, k_farthest);
    const double t = share(y);
    const double rest = share(-y);
    const double step = (lower(t, rest) - p) / density(t, rest);
    if (!std::isfinite(step)) return {t, rest};
    return {t - step, rest + step};
  }

 private:
  /// In double Boost loses up to nine digits of small shares where a + b is large; of sums below
  /// this none.
  bool wide() const { return a + b >= 100.0; }
};

class Beta final : public Continuous {
 public:
  Beta(double low, double high, Shape shape)
      : low_(low), high_(high), width_(high - low), shape_(shape) {}
  double lower(double x) const override {
    if (x <= low_) return 0.0;
    return x >= high_ ? 1.0 : shape_.lower((x - low_) / width_, (high_ - x) / width_);
  }
  double upper(double x) const override {
    if (x <= low_) return 1.0;
    return x >= high_ ? 0.0 : shape_.mirrored().lower((high_ - x) / width_, (x - low_) / width_);
  }
  double lower_quantile(double p) const override {
    const auto [t, rest] = shape_.quantile(p);
    return place(t, rest);
  }
  double upper_quantile(double q) const override {
    const auto [rest, t] = shape_.mirrored().quantile(q);
    return place(t, rest);
  }
  double density(double x) const override {
    if (x < low_ || x > high_) return 0.0;
    return shape_.density((x - low_) / width_, (high_ - x) / width_) / width_;
  }
  double average() const override { return low_ + width_ * share(); }
  // The density times the distance from low is that of a + 1, but for the factor a/(a + b).
  double average_in(const Window& window) const override {
    const double sd = width_ * std::sqrt(share() * (1.0 - share()) / (shape_.a + shape_.b + 1.0));
    if (!(window.high - window.low > 0.1 * sd)) return Continuous::average_in(window);
    const Beta risen(low_, high_, {shape_.a + 1.0, shape_.b});
    return low_ + width_ * share() * (risen.interval(window.low, window.high) / window.mass);
  }
  double lowest() const override { return low_; }
  double highest() const override { return high_; }
  Traits traits() const override {
    return {
        .log_concave = shape_.a >= 1.0 && shape_.b >= 1.0, .bell_shaped = true, .searched = true};
  }
  Distribution shifted(double by) const override {
    return beta(low_ + by, high_ + by, shape_.a, shape_.b);
  }

 private:
  double share() const { return shape_.a / (shape_.a + shape_.b); }
  double place(double t, double rest) const {
    return std::clamp(t <= 0.5 ? low_ + width_ * t : high_ - width_ * rest, low_, high_);
  }

  double low_, high_, width_;
  Shape shape_;
};

}  // namespace

Distribution beta(double low, double high, double a, double b) {
  require_width(low, high, "beta");
  require_finite({a, b}, "beta");
  // Beyond, the search takes minutes.
  require(a >= 0.001 && a <= 1e9, "beta: a must be from 0.001 to 1e9");
  require(b >= 0.001 && b <= 1e9, "beta: b must be from 0.001 to 1e9");
  return make<Beta>(low, high, Shape{a, b});
}

const Form beta_form{"beta(low, high, a, b)", "beta law stretched over low to high", "ppnn",
                     [](Values v) { return beta(v[0], v[1], v[2], v[3]); }};

}  // namespace blendrisk::distributions
