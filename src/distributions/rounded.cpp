#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>
#include <vector>

#include "distributions/families.hpp"
#include "distributions/law.hpp"
#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"

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
  double lower_quantile(double p) const override { return quantile(true, p); }
  double upper_quantile(double q) const override { return quantile(false, q); }
  // From the table, which all windows share, and Newton's steps.
  double quantile_of_tail(bool lower, double p) const override {
    const double score = numeric::normal_quantile(p);
    if (!values_.empty() || !(std::abs(score) < ScoreTable::k_farthest)) return quantile(lower, p);
    double x = lower ? score : -score;
    scores().quantile({&x, 1}, &x);
    // One step mostly; more where a bound of X makes a kink that the table rounds off.
    constexpr int k_steps = 5;
    for (int step = 0; step < k_steps; ++step) {
      const double better = newton(lower, x, tail(lower, x), p);
      if (!(better >= lowest() && better <= highest())) return quantile(lower, p);
      const double moved = std::abs(better - x);
      x = better;
      if (moved <= 1e-8 * h_) return x;
    }
    return quantile(lower, p);
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

  double tail(bool below, double x) const { return below ? lower(x) : upper(x); }

  /// A step from x, where that tail is `share`, for its logarithm.
  double newton(bool below, double x, double share, double p) const {
    const double by = std::log(share / p) * share / density(x);
    return below ? x - by : x + by;
  }

  /// Within h of X's own, where it lies.
  double quantile(bool below, double p) const {
    const double near = below ? of().lower_quantile(p) : of().upper_quantile(p);
    const double low = std::max(near - h_, lowest());
    const double high = std::min(near + h_, highest());
    return values_.empty() ? by_steps(below, p, low, high) : by_search(below, p, low, high);
  }

  /// By Newton's steps, each held in what is left between the ends.
  double by_steps(bool below, double p, double low, double high) const {
    constexpr int k_steps = 100;
    double x = 0.5 * (low + high);
    for (int step = 0; step < k_steps && low < high; ++step) {
      const double share = tail(below, x);
      if (share == p) break;
      (below == (share > p) ? high : low) = x;
      const double next = newton(below, x, share, p);
      const double from = x;
      const bool inside = next > low && next < high;
      x = inside ? next : 0.5 * (low + high);
      // The next of Newton's steps would be about the square of this one.
      const double within = std::min({h_, x - lowest(), highest() - x});
      const double close = inside ? 1e-8 * within : 0.0;
      if (std::abs(x - from) <= std::max(close, 1e-14 * (1.0 + std::abs(x)))) break;
    }
    return x;
  }

  double by_search(bool below, double p, double low, double high) const {
    const auto f = [&](double x) { return below ? lower(x) - p : p - upper(x); };
    const numeric::Ends ends{low, high, f(low), f(high)};
    if (!(ends.at_low < 0.0)) return low;
    if (!(ends.at_high > 0.0)) return high;
    const auto close = [](double a, double b) { return b - a <= 1e-14 * (1.0 + std::abs(a)); };
    return numeric::root(f, ends, close, 100).middle();
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
