#include <algorithm>
#include <array>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <charconv>
#include <cmath>
#include <memory>
#include <numbers>
#include <stdexcept>
#include <string>
#include <type_traits>

#include "distributions/laws.hpp"

namespace blendrisk::distributions {
namespace {

/// Less mass than this is none: quantiles inside would run below the smallest double.
constexpr double kLeastMass = 1e-280;

template <class Law>
concept Continuous = requires(const Law& law) {
  laws::interval(law, 0.0, 1.0);
};

/// A law whose mean in a window has a closed form. Quadrature would miss the mass in a window much
/// wider than the law; but it keeps more digits of the distance from the bounds in a narrow one.
template <class Law>
concept WithPartialMean = requires(const Law& law) {
  laws::partial_mean(law, 0.0, 1.0, 1.0);
};

std::string text_of(double value) {
  std::array<char, 32> digits{};
  auto* const end = std::to_chars(digits.data(), digits.data() + digits.size(), value).ptr;
  return {digits.data(), end};
}

[[noreturn]] void fail_empty(double low, double high) {
  throw ParameterError("the window [" + text_of(low) + ", " + text_of(high) +
                       "] holds none of the distribution");
}

Distribution cut(const Exact& base, double low, double high) {
  if (base.value < low || base.value > high) fail_empty(low, high);
  return Distribution(base);
}

Distribution cut(const Empirical& base, double low, double high) {
  const auto& v = *base.sorted;
  const auto from = std::lower_bound(v.begin(), v.end(), low);
  const auto to = std::upper_bound(v.begin(), v.end(), high);
  if (from == to) fail_empty(low, high);
  return Distribution(Empirical{std::make_shared<const std::vector<double>>(from, to),
                                std::max(low, base.low), std::min(high, base.high)});
}

Distribution cut(const Uniform& base, double low, double high) {
  const double from = std::max(low, base.low);
  const double to = std::min(high, base.high);
  if (!(from < to)) fail_empty(low, high);
  return Distribution(Uniform{from, to});
}

template <Continuous Law>
Distribution cut(const Law& base, double low, double high) {
  const double from = std::max(low, laws::lowest(base));
  const double to = std::min(high, laws::highest(base));
  if (!(from < to)) fail_empty(low, high);
  const double mass = laws::interval(base, from, to);
  if (!(mass >= kLeastMass)) fail_empty(low, high);
  return Distribution(std::make_shared<const Truncated>(Truncated{
      Distribution(base), from, to, laws::lower(base, from), laws::upper(base, to), mass}));
}

// A window in a window is their overlap in the first law.
Distribution cut(const laws::TruncatedPtr& base, double low, double high) {
  const double from = std::max(low, base->low);
  const double to = std::min(high, base->high);
  if (!(from < to)) fail_empty(low, high);
  return truncated(base->base, from, to);
}

/// Calls `use` with the continuous law inside; truncated() puts no other there.
template <class Use>
double with_base(const Truncated& law, const Use& use) {
  return std::visit(
      [&use](const auto& base) -> double {
        if constexpr (Continuous<std::decay_t<decltype(base)>>) {
          return use(base);
        } else {
          throw std::logic_error("a truncated law holds no continuous law");
        }
      },
      law.base.law());
}

/// Newton steps from the nearer bound, where the share is so small that the digits of x's distance
/// from the bound would drown in the mass outside the window.
template <class Law>
double from_bound(const Law& base, const Truncated& law, double p, double q, double fallback) {
  const auto missing = [&](double at) {
    return p <= q ? p * law.mass - laws::interval(base, law.low, at)
                  : laws::interval(base, at, law.high) - q * law.mass;
  };
  double x = p <= q ? law.low : law.high;
  double miss = missing(x);
  for (int step = 0; step < 12 && miss != 0.0; ++step) {
    const double height = laws::density(base, x);
    if (!(height > 0.0) || !std::isfinite(height)) return fallback;
    const double next = std::clamp(x + miss / height, law.low, law.high);
    const double next_miss = missing(next);
    if (!(std::abs(next_miss) < std::abs(miss))) break;
    x = next;
    miss = next_miss;
  }
  return x;
}

/// The x with a share p of the window below and q = 1 − p above, from the smaller base tail.
template <class Law>
double quantile_in(const Law& base, const Truncated& law, double p, double q) {
  const double below = law.below + p * law.mass;
  const double above = law.above + q * law.mass;
  const double raw =
      below <= above ? laws::lower_quantile(base, below) : laws::upper_quantile(base, above);
  const double x = std::clamp(raw, law.low, law.high);
  const double near = p <= q ? p : q;
  if (near * law.mass > 1e-2 * std::min(below, above)) return x;
  return from_bound(base, law, p, q, x);
}

/// mean + sd (φ(a) − φ(b))/mass, the difference through expm1.
double mean_in(const Normal& base, const Truncated& law) {
  const double a = (law.low - base.mean) / base.sd;
  const double b = (law.high - base.mean) / base.sd;
  const double half = 0.5 * (b - a) * (b + a);  // ln φ(a) − ln φ(b)
  const double nearer = std::abs(a) < std::abs(b) ? a : b;
  const double sign = half > 0.0 ? 1.0 : -1.0;
  const double difference = -sign * std::exp(-0.5 * nearer * nearer) * std::expm1(-std::abs(half)) *
                            std::numbers::inv_sqrtpi / std::numbers::sqrt2;
  return base.mean + base.sd * (difference / law.mass);
}

/// m − ∫ P(X <= x) over [low, m] + ∫ P(X > x) over [m, high], m the median: the same as
/// low + ∫ P(X > x) over the window, with both integrands small at the window's ends.
template <class Law>
double mean_in(const Law& base, const Truncated& law) {
  using Rule = boost::math::quadrature::gauss_kronrod<double, 31>;
  constexpr unsigned kDepth = 12;
  constexpr double kTolerance = 1e-11;
  if constexpr (WithPartialMean<Law>) {
    if (law.high - law.low > 0.1 * laws::extent(base, law.low, law.high)) {
      return laws::partial_mean(base, law.low, law.high, law.mass);
    }
  }
  const double middle = quantile_in(base, law, 0.5, 0.5);
  const auto below = [&](double x) { return laws::interval(base, law.low, x) / law.mass; };
  const auto above = [&](double x) { return laws::interval(base, x, law.high) / law.mass; };
  double result = middle;
  if (law.low < middle) result -= Rule::integrate(below, law.low, middle, kDepth, kTolerance);
  if (middle < law.high) result += Rule::integrate(above, middle, law.high, kDepth, kTolerance);
  return result;
}

}  // namespace

Distribution truncated(const Distribution& base, double low, double high) {
  if (!std::isfinite(low) || !std::isfinite(high)) {
    throw ParameterError("the window's bounds must be finite numbers");
  }
  if (!(low < high)) throw ParameterError("the window's low bound must be below its high bound");
  return std::visit([&](const auto& law) { return cut(law, low, high); }, base.law());
}

namespace laws {

double lower(const TruncatedPtr& law, double x) {
  if (x <= law->low) return 0.0;
  if (x >= law->high) return 1.0;
  const double inside =
      with_base(*law, [&](const auto& base) { return interval(base, law->low, x); });
  return std::clamp(inside / law->mass, 0.0, 1.0);
}

double upper(const TruncatedPtr& law, double x) {
  if (x <= law->low) return 1.0;
  if (x >= law->high) return 0.0;
  const double inside =
      with_base(*law, [&](const auto& base) { return interval(base, x, law->high); });
  return std::clamp(inside / law->mass, 0.0, 1.0);
}

double lower_quantile(const TruncatedPtr& law, double p) {
  return with_base(*law, [&](const auto& base) { return quantile_in(base, *law, p, 1.0 - p); });
}

double upper_quantile(const TruncatedPtr& law, double q) {
  return with_base(*law, [&](const auto& base) { return quantile_in(base, *law, 1.0 - q, q); });
}

double mean(const TruncatedPtr& law) {
  const double value = with_base(*law, [&](const auto& base) { return mean_in(base, *law); });
  return std::clamp(value, law->low, law->high);
}

double lowest(const TruncatedPtr& law) {
  return law->low;
}

double highest(const TruncatedPtr& law) {
  return law->high;
}

}  // namespace laws
}  // namespace blendrisk::distributions
