#include <algorithm>
#include <cmath>
#include <numbers>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"

namespace blendrisk::distributions {
namespace {

constexpr double k_two_over_pi = 2.0 * std::numbers::inv_pi;

/// F = (2/π) asin sqrt t, t = (x − low)/(high − low).
class Arcsine final : public Continuous {
 public:
  Arcsine(double low, double high) : low_(low), high_(high), width_(high - low) {}
  double lower(double x) const override {
    return k_two_over_pi * std::atan2(root_from_low(x), root_from_high(x));
  }
  double upper(double x) const override {
    return k_two_over_pi * std::atan2(root_from_high(x), root_from_low(x));
  }
  double lower_quantile(double p) const override {
    const double x = p <= 0.5 ? low_ + width_ * distance(p) : high_ - width_ * distance(1.0 - p);
    return std::clamp(x, low_, high_);
  }
  double upper_quantile(double q) const override {
    const double x = q <= 0.5 ? high_ - width_ * distance(q) : low_ + width_ * distance(1.0 - q);
    return std::clamp(x, low_, high_);
  }
  double density(double x) const override {
    if (x < low_ || x > high_) return 0.0;
    return std::numbers::inv_pi / (std::sqrt(x - low_) * std::sqrt(high_ - x));
  }
  double average() const override { return low_ + 0.5 * width_; }
  double lowest() const override { return low_; }
  double highest() const override { return high_; }
  Distribution shifted(double by) const override { return arcsine(low_ + by, high_ + by); }

 private:
  /// Sine and cosine of the angle: the roots of the shares of the width on either side.
  double root_from_low(double x) const {
    return std::sqrt(std::clamp((x - low_) / width_, 0.0, 1.0));
  }
  double root_from_high(double x) const {
    return std::sqrt(std::clamp((high_ - x) / width_, 0.0, 1.0));
  }
  /// The share of the width between a bound and the quantile p from it.
  static double distance(double p) {
    const double sine = std::sin(0.5 * std::numbers::pi * p);
    return sine * sine;
  }

  double low_, high_, width_;
};

}  // namespace

Distribution arcsine(double low, double high) {
  require_width(low, high, "arcsine");
  return make<Arcsine>(low, high);
}

const Form arcsine_form{"arcsine(low, high)", "most likely at the ends, as of a cycling quantity",
                        "pp", [](Values v) { return arcsine(v[0], v[1]); }};

}  // namespace blendrisk::distributions
