#include <algorithm>
#include <boost/math/special_functions/beta.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "distributions/laws.hpp"
#include "distributions/tails.hpp"

namespace blendrisk::distributions::laws {
namespace {

double square(double x) {
  return x * x;
}

/// The law of −X: upper tails are its lower tails.
Trapezoidal mirrored(const Trapezoidal& law) {
  return {-law.high, -law.flat_to, -law.flat_from, -law.low};
}

double level(const Trapezoidal& law) {
  return 2.0 / ((law.high - law.low) + (law.flat_to - law.flat_from));
}

/// In double Boost loses up to nine digits of small shares where a + b is large; of sums below
/// this none.
constexpr double kLargeShape = 100.0;

/// I_t(a, b), the regularised incomplete beta function, 1 − I_t(a, b) and the derivative by t.
double share_below(double a, double b, double t) {
  return a + b < kLargeShape ? boost::math::ibeta(a, b, t, Quiet())
                             : boost::math::ibeta(a, b, t, QuietWider());
}

double share_above(double a, double b, double t) {
  return a + b < kLargeShape ? boost::math::ibetac(a, b, t, Quiet())
                             : boost::math::ibetac(a, b, t, QuietWider());
}

double share_density(double a, double b, double t) {
  return a + b < kLargeShape ? boost::math::ibeta_derivative(a, b, t, Quiet())
                             : boost::math::ibeta_derivative(a, b, t, QuietWider());
}

/// Newton steps for ln of the smaller of p and q = 1 − p over ln t: I_t(a, b) = p at the result,
/// which is to lie in (0, 1/2]. A step out of the bracket is a bisection instead.
double half_quantile(double a, double b, double p, double q) {
  const bool rising = p <= q;
  double low = std::numeric_limits<double>::min();
  double high = 0.5;
  // I_t is near t^a/(a B(a, b)) for small t.
  const double log_beta = boost::math::lgamma(a, Quiet()) + boost::math::lgamma(b, Quiet()) -
                          boost::math::lgamma(a + b, Quiet());
  const double power_law = std::exp((std::log(p) + std::log(a) + log_beta) / a);
  if (power_law <= low) return power_law;
  double t = std::clamp(power_law, low, high);
  for (int step = 0; step < 200; ++step) {
    const double tail = rising ? share_below(a, b, t) : share_above(a, b, t);
    const double over = std::log(tail / (rising ? p : q));
    if (over == 0.0) break;
    if ((over > 0.0) == rising) {
      high = t;
    } else {
      low = t;
    }
    const double slope = t * share_density(a, b, t) / tail;
    const double change = (rising ? -over : over) / slope;
    const double next = t * std::exp(change);
    const bool inside = std::isfinite(slope) && next >= low && next <= high;
    t = inside ? next : std::sqrt(low) * std::sqrt(high);
    if (inside ? std::abs(change) < 1e-9 : high <= low * (1.0 + 1e-15)) break;
  }
  return t;
}

/// p = 1 − q. Boost's inverse is fast, but wrong or fails where p or q or the result is tiny.
double beta_quantile(const Beta& law, double p, double q) {
  const double width = law.high - law.low;
  const double least = std::min(law.a, law.b);
  const double greatest = std::max(law.a, law.b);
  if (std::min(p, q) > 1e-4 && least > 0.2 && greatest < 1e4) {
    double rest = 0.0;
    const double t = p <= q ? boost::math::ibeta_inv(law.a, law.b, p, &rest, Quiet())
                            : boost::math::ibetac_inv(law.a, law.b, q, &rest, Quiet());
    return std::clamp(t <= 0.5 ? law.low + width * t : law.high - width * rest, law.low, law.high);
  }
  const bool in_lower_half =
      p <= q ? p <= share_below(law.a, law.b, 0.5) : q >= share_above(law.a, law.b, 0.5);
  return in_lower_half ? law.low + width * half_quantile(law.a, law.b, p, q)
                       : law.high - width * half_quantile(law.b, law.a, q, p);
}

}  // namespace

// Uniform: F = (x − low)/(high − low).

double lower(const Uniform& law, double x) {
  return std::clamp((x - law.low) / (law.high - law.low), 0.0, 1.0);
}

double upper(const Uniform& law, double x) {
  return std::clamp((law.high - x) / (law.high - law.low), 0.0, 1.0);
}

double lower_quantile(const Uniform& law, double p) {
  return std::clamp(law.low + p * (law.high - law.low), law.low, law.high);
}

double upper_quantile(const Uniform& law, double q) {
  return std::clamp(law.high - q * (law.high - law.low), law.low, law.high);
}

double interval(const Uniform& law, double a, double b) {
  const double inside = std::min(b, law.high) - std::max(a, law.low);
  return std::max(inside, 0.0) / (law.high - law.low);
}

double density(const Uniform& law, double x) {
  return x >= law.low && x <= law.high ? 1.0 / (law.high - law.low) : 0.0;
}

double mean(const Uniform& law) {
  return law.low + 0.5 * (law.high - law.low);
}

// Trapezoidal: a quadratic, a line and a quadratic; the last is counted from flat_to, not as
// 1 − upper, so that a law with no rise keeps its digits near low.

double lower(const Trapezoidal& law, double x) {
  if (x <= law.low) return 0.0;
  if (x >= law.high) return 1.0;
  const double rise = law.flat_from - law.low;
  if (x < law.flat_from) return 0.5 * level(law) * (x - law.low) * ((x - law.low) / rise);
  const double flat = std::min(x, law.flat_to) - law.flat_from;
  double area = 0.5 * rise + flat;
  if (x > law.flat_to) {
    const double past = x - law.flat_to;
    area += past * (1.0 - 0.5 * past / (law.high - law.flat_to));
  }
  return std::min(level(law) * area, 1.0);
}

double upper(const Trapezoidal& law, double x) {
  return lower(mirrored(law), -x);
}

double lower_quantile(const Trapezoidal& law, double p) {
  const double h = level(law);
  const double rise = law.flat_from - law.low;
  const double flat = law.flat_to - law.flat_from;
  const double fall = law.high - law.flat_to;
  const double area = p / h;
  double x = 0.0;
  if (area <= 0.5 * rise) {
    x = law.low + std::sqrt(2.0 * area * rise);
  } else if (area <= 0.5 * rise + flat) {
    x = law.flat_from + (area - 0.5 * rise);
  } else if (p <= 0.5) {  // d(1 − d/(2 fall)) = left over, the root without cancellation
    const double left = area - 0.5 * rise - flat;
    x = law.flat_to + 2.0 * left / (1.0 + std::sqrt(std::max(0.0, 1.0 - 2.0 * left / fall)));
  } else {
    x = law.high - std::sqrt(2.0 * (1.0 - p) / h * fall);
  }
  return std::clamp(x, law.low, law.high);
}

double upper_quantile(const Trapezoidal& law, double q) {
  return -lower_quantile(mirrored(law), q);
}

// On each straight piece the area is the width times the height at the middle.
double interval(const Trapezoidal& law, double a, double b) {
  double area = 0.0;
  const auto add = [&](double from, double to) {
    const double left = std::max(a, from);
    const double right = std::min(b, to);
    if (left < right) area += (right - left) * density(law, left + 0.5 * (right - left));
  };
  add(law.low, law.flat_from);
  add(law.flat_from, law.flat_to);
  add(law.flat_to, law.high);
  return area;
}

double density(const Trapezoidal& law, double x) {
  if (x < law.low || x > law.high) return 0.0;
  if (x < law.flat_from) return level(law) * (x - law.low) / (law.flat_from - law.low);
  if (x > law.flat_to) return level(law) * (law.high - x) / (law.high - law.flat_to);
  return level(law);
}

// (d² + dc + c² − b²)/(3(d + c − b)) with the bounds b, c, d counted from low.
double mean(const Trapezoidal& law) {
  const double width = law.high - law.low;
  const double b = (law.flat_from - law.low) / width;
  const double c = (law.flat_to - law.low) / width;
  return law.low + width * (1.0 + c + (c - b) * (c + b)) / (3.0 * (1.0 + (c - b)));
}

// Arcsine: F = (2/π) asin sqrt t, t = (x − low)/(high − low).

double lower(const Arcsine& law, double x) {
  const double t = std::clamp((x - law.low) / (law.high - law.low), 0.0, 1.0);
  const double rest = std::clamp((law.high - x) / (law.high - law.low), 0.0, 1.0);
  return 2.0 * std::numbers::inv_pi * std::atan2(std::sqrt(t), std::sqrt(rest));
}

double upper(const Arcsine& law, double x) {
  return lower(Arcsine{-law.high, -law.low}, -x);
}

double lower_quantile(const Arcsine& law, double p) {
  const double width = law.high - law.low;
  const double x = p <= 0.5
                       ? law.low + width * square(std::sin(0.5 * std::numbers::pi * p))
                       : law.high - width * square(std::sin(0.5 * std::numbers::pi * (1.0 - p)));
  return std::clamp(x, law.low, law.high);
}

double upper_quantile(const Arcsine& law, double q) {
  return -lower_quantile(Arcsine{-law.high, -law.low}, q);
}

// The angle between the two ends from its sine and cosine: sin² A − sin² B = (b − a)/width.
double interval(const Arcsine& law, double a, double b) {
  const double width = law.high - law.low;
  const double from = std::clamp(a, law.low, law.high);
  const double to = std::clamp(b, law.low, law.high);
  if (!(from < to)) return 0.0;
  const double sin_a = std::sqrt((from - law.low) / width);
  const double cos_a = std::sqrt((law.high - from) / width);
  const double sin_b = std::sqrt((to - law.low) / width);
  const double cos_b = std::sqrt((law.high - to) / width);
  const double sine = (to - from) / width / (sin_b * cos_a + cos_b * sin_a);
  return 2.0 * std::numbers::inv_pi * std::atan2(sine, cos_a * cos_b + sin_a * sin_b);
}

double density(const Arcsine& law, double x) {
  if (x < law.low || x > law.high) return 0.0;
  return std::numbers::inv_pi / (std::sqrt(x - law.low) * std::sqrt(law.high - x));
}

double mean(const Arcsine& law) {
  return law.low + 0.5 * (law.high - law.low);
}

// Beta: the regularised incomplete beta function, always of the distance to the nearer bound.

double lower(const Beta& law, double x) {
  // Boost takes this case through acos of a rounded root.
  if (law.a == 0.5 && law.b == 0.5) return lower(Arcsine{law.low, law.high}, x);
  if (x <= law.low) return 0.0;
  if (x >= law.high) return 1.0;
  const double width = law.high - law.low;
  const double t = (x - law.low) / width;
  if (t <= 0.5) return share_below(law.a, law.b, t);
  return share_above(law.b, law.a, (law.high - x) / width);
}

double upper(const Beta& law, double x) {
  return lower(Beta{-law.high, -law.low, law.b, law.a}, -x);
}

double lower_quantile(const Beta& law, double p) {
  if (law.a == 0.5 && law.b == 0.5) return lower_quantile(Arcsine{law.low, law.high}, p);
  return beta_quantile(law, p, 1.0 - p);
}

double upper_quantile(const Beta& law, double q) {
  if (law.a == 0.5 && law.b == 0.5) return upper_quantile(Arcsine{law.low, law.high}, q);
  return beta_quantile(law, 1.0 - q, q);
}

double interval(const Beta& law, double a, double b) {
  return interval_by_tails(law, std::max(a, law.low), std::min(b, law.high));
}

double density(const Beta& law, double x) {
  const double width = law.high - law.low;
  const double t = (x - law.low) / width;
  if (t < 0.0 || t > 1.0) return 0.0;
  if (t <= 0.5) return share_density(law.a, law.b, t) / width;
  return share_density(law.b, law.a, (law.high - x) / width) / width;
}

// The density times the distance from low is that of a + 1, but for the factor a/(a + b).
double partial_mean(const Beta& law, double a, double b, double mass) {
  const double share = interval(Beta{law.low, law.high, law.a + 1.0, law.b}, a, b) / mass;
  return law.low + (law.high - law.low) * (law.a / (law.a + law.b)) * share;
}

/// The standard deviation.
double extent(const Beta& law, double, double /*x*/) {
  const double sum = law.a + law.b;
  return (law.high - law.low) * std::sqrt(law.a / sum * (law.b / sum) / (sum + 1.0));
}

double mean(const Beta& law) {
  return law.low + (law.high - law.low) * (law.a / (law.a + law.b));
}

double lowest(const Uniform& law) {
  return law.low;
}

double highest(const Uniform& law) {
  return law.high;
}

double lowest(const Trapezoidal& law) {
  return law.low;
}

double highest(const Trapezoidal& law) {
  return law.high;
}

double lowest(const Arcsine& law) {
  return law.low;
}

double highest(const Arcsine& law) {
  return law.high;
}

double lowest(const Beta& law) {
  return law.low;
}

double highest(const Beta& law) {
  return law.high;
}

}  // namespace blendrisk::distributions::laws
