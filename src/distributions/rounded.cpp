#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <tuple>
#include <vector>

#include "distributions/families.hpp"
#include "distributions/law.hpp"

namespace blendrisk::distributions {
namespace {

/// X + V, V uniform on ±h: the distribution function is the mean of X's over [x − h, x + h].
class Rounded final : public Continuous {
 public:
  Rounded(Distribution base, double step) : base_(std::move(base)), h_(0.5 * step) {
    const std::size_t n = of().steps().values;
    for (std::size_t i = 0; i < n; ++i) {
      values_.push_back(
          of().lower_quantile((static_cast<double>(i) + 0.5) / static_cast<double>(n)));
    }
  }

  double lower(double x) const override {
    if (!values_.empty()) return of_values(1.0, x);
    return mean_share(x, std::max(x - h_, of().lowest()), std::min(x + h_, of().highest()),
                      std::max(0.0, x + h_ - std::max(x - h_, of().highest())),
                      [this](double at) { return of().lower(at); });
  }
  double upper(double x) const override {
    if (!values_.empty()) return of_values(-1.0, -x);
    return mean_share(x, std::max(x - h_, of().lowest()), std::min(x + h_, of().highest()),
                      std::max(0.0, std::min(x + h_, of().lowest()) - (x - h_)),
                      [this](double at) { return of().upper(at); });
  }
  double density(double x) const override {
    const double above = of().upper(x - h_);
    const double share =
        above <= 0.5 ? above - of().upper(x + h_) : of().lower(x + h_) - of().lower(x - h_);
    return share / (2.0 * h_);
  }
  double lower_quantile(double p) const override {
    return solved(of().lower_quantile(p), [&](double x) { return lower(x) - p; });
  }
  double upper_quantile(double q) const override {
    return solved(of().upper_quantile(q), [&](double x) { return q - upper(x); });
  }
  double average() const override { return of().average(); }
  double centre() const override { return of().centre(); }
  double lowest() const override { return of().lowest() - h_; }
  double highest() const override { return of().highest() + h_; }
  Traits traits() const override {
    const Traits base = of().traits();
    return {.log_concave = base.log_concave, .bell_shaped = base.bell_shaped, .searched = true};
  }
  Distribution shifted(double by) const override { return rounded(of().shifted(by), 2.0 * h_); }

 private:
  const Law& of() const { return base_.law(); }

  /// Over values of equal weight: the mean of what each leaves on one side.
  double of_values(double sign, double x) const {
    double sum = 0.0;
    for (const double value : values_) {
      sum += std::clamp(0.5 + (x - sign * value) / (2.0 * h_), 0.0, 1.0);
    }
    return sum / static_cast<double>(values_.size());
  }

  /// Of shares on [from, to] by Gauss quadrature in two halves, and of `ones` where they are 1. All
  /// terms are positive, so that a tail keeps its digits.
  template <class Share>
  double mean_share(double x, double from, double to, double ones, const Share& share) const {
    using Rule = boost::math::quadrature::gauss<double, 20>;
    double sum = std::min(ones, 2.0 * h_);
    if (from < to) {
      const double middle = std::clamp(x, from, to);
      if (from < middle) sum += Rule::integrate(share, from, middle);
      if (middle < to) sum += Rule::integrate(share, middle, to);
    }
    return std::clamp(sum / (2.0 * h_), 0.0, 1.0);
  }

  /// The root of a rising f within h of X's own quantile, where it lies.
  template <class F>
  double solved(double near, const F& f) const {
    double low = std::max(near - h_, lowest());
    double high = std::min(near + h_, highest());
    const double at_low = f(low);
    const double at_high = f(high);
    if (!(at_low < 0.0)) return low;
    if (!(at_high > 0.0)) return high;
    std::uintmax_t steps = 100;
    const auto close = [](double a, double b) { return b - a <= 1e-14 * (1.0 + std::abs(a)); };
    std::tie(low, high) =
        boost::math::tools::toms748_solve(f, low, high, at_low, at_high, close, steps);
    return 0.5 * (low + high);
  }

  Distribution base_;
  double h_;
  std::vector<double> values_;  ///< of a law of steps
};

}  // namespace

Distribution rounded(const Distribution& base, double step) {
  require(std::isfinite(step) && step >= 0.0, "a step is a finite number, 0 or more");
  if (step == 0.0) return base;
  if (is_exact(base)) return uniform(mean(base) - 0.5 * step, mean(base) + 0.5 * step);
  return make<Rounded>(base, step);
}

}  // namespace blendrisk::distributions
