#include <algorithm>
#include <cmath>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"
#include "numeric/target_clones.hpp"

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

  double quantile(double p) const;
};

// Quantiles of a law with this level of its density. All pieces' formulas for each p, without a
// branch.
BLENDRISK_CLONES void quantile_loop(const Corners& at, double level, const double* p, double* x,
                                    std::size_t n) {
  const double rise = at.flat_from - at.low;
  const double flat = at.flat_to - at.flat_from;
  const double fall = at.high - at.flat_to;
  const double some_fall = fall > 0.0 ? fall : 1.0;
  for (std::size_t i = 0; i < n; ++i) {
    const double area = p[i] / level;
    const double rising = at.low + __builtin_sqrt(2.0 * area * rise);
    const double level_part = at.flat_from + (area - 0.5 * rise);
    // d(1 − d/(2 fall)) = left over, the root without cancellation.
    const double left = area - 0.5 * rise - flat;
    const double square = 1.0 - 2.0 * left / some_fall;
    const double falling =
        at.flat_to + 2.0 * left / (1.0 + __builtin_sqrt(square > 0.0 ? square : 0.0));
    const double last = at.high - __builtin_sqrt(2.0 * (1.0 - p[i]) / level * fall);
    const double past = p[i] <= 0.5 ? falling : last;
    const double later = area <= 0.5 * rise + flat ? level_part : past;
    const double raw = area <= 0.5 * rise ? rising : later;
    const double risen = raw < at.low ? at.low : raw;
    x[i] = at.high < risen ? at.high : risen;
  }
}

// Through the loop, for the clone that arrays go through: both then round alike.
double Corners::quantile(double p) const {
  double x = 0.0;
  quantile_loop(*this, level(), &p, &x, 1);
  return x;
}

class Trapezoidal final : public Continuous {
 public:
  explicit Trapezoidal(const Corners& corners) : at_(corners) {}
  double lower(double x) const override { return at_.lower(x); }
  double upper(double x) const override { return at_.mirrored().lower(-x); }
  double lower_quantile(double p) const override { return at_.quantile(p); }
  double upper_quantile(double q) const override { return -at_.mirrored().quantile(q); }
  void fill_quantile(Values u, std::span<double> x) const override {
    quantile_loop(at_, at_.level(), u.data(), x.data(), u.size());
  }
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
  double from_low(const Window& window, double x) const override { return interval(window.low, x); }
  double to_high(const Window& window, double x) const override { return interval(x, window.high); }
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
