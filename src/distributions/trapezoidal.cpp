#include <algorithm>
#include <cmath>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"

namespace blendrisk::distributions {
namespace {

struct Corners {
  double low, flat_from, flat_to, high;

  /// Of the law of −X: upper tails are its lower tails.
  Corners mirrored() const { return {-high, -flat_to, -flat_from, -low}; }

  /// The density between flat_from and flat_to.
  double level() const { return 2.0 / ((high - low) + (flat_to - flat_from)); }

  // A quadratic, a line and a quadratic; the last is counted from flat_to, not as 1 − upper, so
  // that a law with no rise keeps its digits near low.
  double lower(double x) const {
    if (x <= low) return 0.0;
    if (x >= high) return 1.0;
    const double rise = flat_from - low;
    if (x < flat_from) return 0.5 * level() * (x - low) * ((x - low) / rise);
    double area = 0.5 * rise + (std::min(x, flat_to) - flat_from);
    if (x > flat_to) {
      const double past = x - flat_to;
      area += past * (1.0 - 0.5 * past / (high - flat_to));
    }
    return std::min(level() * area, 1.0);
  }

  double quantile(double p) const {
    const double rise = flat_from - low;
    const double flat = flat_to - flat_from;
    const double fall = high - flat_to;
    const double area = p / level();
    double x = 0.0;
    if (area <= 0.5 * rise) {
      x = low + std::sqrt(2.0 * area * rise);
    } else if (area <= 0.5 * rise + flat) {
      x = flat_from + (area - 0.5 * rise);
    } else if (p <= 0.5) {  // d(1 − d/(2 fall)) = left over, the root without cancellation
      const double left = area - 0.5 * rise - flat;
      x = flat_to + 2.0 * left / (1.0 + std::sqrt(std::max(0.0, 1.0 - 2.0 * left / fall)));
    } else {
      x = high - std::sqrt(2.0 * (1.0 - p) / level() * fall);
    }
    return std::clamp(x, low, high);
  }
};

class Trapezoidal final : public Continuous {
 public:
  explicit Trapezoidal(const Corners& corners) : at_(corners) {}
  double lower(double x) const override { return at_.lower(x); }
  double upper(double x) const override { return at_.mirrored().lower(-x); }
  double lower_quantile(double p) const override { return at_.quantile(p); }
  double upper_quantile(double q) const override { return -at_.mirrored().quantile(q); }
  // On each straight piece the area is the width times the height at the middle.
  double interval(double a, double b) const override {
    double area = 0.0;
    const auto add = [&](double from, double to) {
      const double left = std::max(a, from);
      const double right = std::min(b, to);
      if (left < right) area += (right - left) * density(left + 0.5 * (right - left));
    };
    add(at_.low, at_.flat_from);
    add(at_.flat_from, at_.flat_to);
    add(at_.flat_to, at_.high);
    return area;
  }
  double density(double x) const override {
    if (x < at_.low || x > at_.high) return 0.0;
    if (x < at_.flat_from) return at_.level() * (x - at_.low) / (at_.flat_from - at_.low);
    if (x > at_.flat_to) return at_.level() * (at_.high - x) / (at_.high - at_.flat_to);
    return at_.level();
  }
  // (d² + dc + c² − b²)/(3(d + c − b)) with the bounds b, c, d counted from low.
  double average() const override {
    const double width = at_.high - at_.low;
    const double b = (at_.flat_from - at_.low) / width;
    const double c = (at_.flat_to - at_.low) / width;
    return at_.low + width * (1.0 + c + (c - b) * (c + b)) / (3.0 * (1.0 + (c - b)));
  }
  double lowest() const override { return at_.low; }
  double highest() const override { return at_.high; }
  Traits traits() const override { return {.log_concave = true}; }
  Distribution shifted(double by) const override {
    return trapezoidal(at_.low + by, at_.flat_from + by, at_.flat_to + by, at_.high + by);
  }

 private:
  Corners at_;
};

}  // namespace

Distribution trapezoidal(double low, double flat_from, double flat_to, double high) {
  require_width(low, high, "trapezoidal");
  require_finite({flat_from, flat_to}, "trapezoidal");
  require(low <= flat_from && flat_from <= flat_to && flat_to <= high,
          "trapezoidal: low, flat-from, flat-to, high must not decrease");
  return make<Trapezoidal>(Corners{low, flat_from, flat_to, high});
}

Distribution triangular(double low, double peak, double high) {
  require_width(low, high, "triangular");
  require_finite({peak}, "triangular");
  require(low <= peak && peak <= high, "triangular: the peak must lie between low and high");
  return make<Trapezoidal>(Corners{low, peak, peak, high});
}

const Form triangular_form{"triangular(low, peak, high)", "rising to the peak and falling", "ppp",
                           [](Values v) { return triangular(v[0], v[1], v[2]); }};
const Form trapezoidal_form{"trapezoidal(low, flat-from, flat-to, high)", "rising, level, falling",
                            "pppp", [](Values v) { return trapezoidal(v[0], v[1], v[2], v[3]); }};

}  // namespace blendrisk::distributions
