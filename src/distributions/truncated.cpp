#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <string>

#include "distributions/law.hpp"
#include "text/error.hpp"
#include "text/number.hpp"

namespace blendrisk::distributions {
namespace {

/// Less mass than this is none: quantiles inside would run below the smallest double.
constexpr double k_least_mass = 1e-280;

/// Newton steps from the nearer bound, where the share is so small that the digits of x's distance
/// from the bound would drown in the mass outside the window.
double from_bound(const Continuous& law, const Window& window, double p, double q,
                  double fallback) {
  const auto missing = [&](double at) {
    return p <= q ? p * window.mass - law.from_low(window, at)
                  : law.to_high(window, at) - q * window.mass;
  };
  double x = p <= q ? window.low : window.high;
  double miss = missing(x);
  for (int step = 0; step < 12 && miss != 0.0; ++step) {
    const double height = law.density(x);
    if (!(height > 0.0) || !std::isfinite(height)) return fallback;
    const double next = std::clamp(x + miss / height, window.low, window.high);
    const double next_miss = missing(next);
    if (!(std::abs(next_miss) < std::abs(miss))) break;
    x = next;
    miss = next_miss;
  }
  return x;
}

class Truncated final : public Law {
 public:
  Truncated(std::shared_ptr<const Continuous> base, const Window& window)
      : base_(std::move(base)), at_(window) {}
  double lower(double x) const override { return base_->lower_in(at_, x); }
  double upper(double x) const override { return base_->upper_in(at_, x); }
  double lower_quantile(double p) const override { return base_->quantile_in(at_, p, 1.0 - p); }
  double upper_quantile(double q) const override { return base_->quantile_in(at_, 1.0 - q, q); }
  double average() const override { return std::clamp(base_->average_in(at_), at_.low, at_.high); }
  double centre() const override { return base_->average(); }
  double lowest() const override { return at_.low; }
  double highest() const override { return at_.high; }
  Traits traits() const override {
    Traits traits = base_->traits();
    traits.normal = false;
    return traits;
  }
  Distribution shifted(double by) const override {
    return truncated(base_->shifted(by), at_.low + by, at_.high + by);
  }
  // A window in a window is their overlap in the first law.
  Distribution cut(double low, double high) const override {
    const double from = std::max(low, at_.low);
    const double to = std::min(high, at_.high);
    if (!(from < to)) fail_empty(low, high);
    return base_->cut(from, to);
  }
  void fill_below(Values x, std::span<double> p) const override {
    return traits().searched ? Law::fill_below(x, p) : base_->fill_below_in(at_, x, p);
  }
  void fill_above(Values x, std::span<double> q) const override {
    return traits().searched ? Law::fill_above(x, q) : base_->fill_above_in(at_, x, q);
  }
  void fill_quantile(Values u, std::span<double> x) const override {
    return traits().searched ? Law::fill_quantile(u, x) : base_->fill_quantile_in(at_, u, x);
  }

 private:
  std::shared_ptr<const Continuous> base_;
  Window at_;
};

}  // namespace

void fail_empty(double low, double high) {
  throw text::Error("the window [" + text::number_text(low) + ", " + text::number_text(high) +
                    "] holds none of the distribution");
}

template <class NotBelowA, class BelowA, class AboveB, class NotAboveB>
double Continuous::between(double a, double b, const NotBelowA& not_below_a, const BelowA& below_a,
                           const AboveB& above_b, const NotAboveB& not_above_b) const {
  double whole = not_below_a();
  double difference = 0.0;
  if (whole <= 0.5) {
    difference = whole - above_b();
  } else if (whole = not_above_b(); whole <= 0.5) {
    difference = whole - below_a();
  } else {
    whole = 1.0;
    difference = 1.0 - below_a() - above_b();
  }
  if (difference > 1e-3 * whole || whole == 0.0) return difference;
  const auto height = [this](double x) { return density(x); };
  const auto [least, greatest] = std::minmax({height(a), height(a + 0.5 * (b - a)), height(b)});
  if (!(greatest < 10.0 * least)) return difference;
  // Of nearly level ones few nodes tell all digits.
  if (greatest < 1.3 * least) {
    return boost::math::quadrature::gauss<double, 7>::integrate(height, a, b);
  }
  return boost::math::quadrature::gauss<double, 30>::integrate(height, a, b);
}

double Continuous::interval(double from, double to) const {
  const double a = std::max(from, lowest());
  const double b = std::min(to, highest());
  if (!(a < b)) return 0.0;
  return between(
      a, b, [&] { return upper(a); }, [&] { return lower(a); }, [&] { return upper(b); },
      [&] { return lower(b); });
}

double Continuous::from_low(const Window& window, double x) const {
  return between(
      window.low, x, [&] { return window.not_below; }, [&] { return window.below; },
      [&] { return upper(x); }, [&] { return lower(x); });
}

double Continuous::to_high(const Window& window, double x) const {
  return between(
      x, window.high, [&] { return upper(x); }, [&] { return lower(x); },
      [&] { return window.above; }, [&] { return window.not_above; });
}

double Continuous::lower_in(const Window& window, double x) const {
  if (x <= window.low) return 0.0;
  if (x >= window.high) return 1.0;
  return std::clamp(from_low(window, x) / window.mass, 0.0, 1.0);
}

double Continuous::upper_in(const Window& window, double x) const {
  if (x <= window.low) return 1.0;
  if (x >= window.high) return 0.0;
  return std::clamp(to_high(window, x) / window.mass, 0.0, 1.0);
}

double Continuous::quantile_in(const Window& window, double p, double q) const {
  const double below = window.below + p * window.mass;
  const double above = window.above + q * window.mass;
  const bool lower = below <= above;
  const double raw = quantile_of_tail(lower, lower ? below : above);
  const double x = std::clamp(raw, window.low, window.high);
  const double near = p <= q ? p : q;
  if (near * window.mass > 1e-2 * std::min(below, above)) return x;
  return from_bound(*this, window, p, q, x);
}

// m − ∫ P(X <= x) over [low, m] + ∫ P(X > x) over [m, high], m the median: the same as
// low + ∫ P(X > x) over the window, with both integrands small at the window's ends.
double Continuous::average_in(const Window& window) const {
  using Rule = boost::math::quadrature::gauss_kronrod<double, 31>;
  constexpr unsigned k_depth = 12;
  constexpr double k_tolerance = 1e-11;
  const double middle = quantile_in(window, 0.5, 0.5);
  const auto below = [&](double x) { return from_low(window, x) / window.mass; };
  const auto above = [&](double x) { return to_high(window, x) / window.mass; };
  double result = middle;
  if (window.low < middle) {
    result -= Rule::integrate(below, window.low, middle, k_depth, k_tolerance);
  }
  if (middle < window.high) {
    result += Rule::integrate(above, middle, window.high, k_depth, k_tolerance);
  }
  return result;
}

void Continuous::fill_below_in(const Window& window, Values x, std::span<double> p) const {
  for (std::size_t i = 0; i < x.size(); ++i) p[i] = lower_in(window, x[i]);
}

void Continuous::fill_above_in(const Window& window, Values x, std::span<double> q) const {
  for (std::size_t i = 0; i < x.size(); ++i) q[i] = upper_in(window, x[i]);
}

void Continuous::fill_quantile_in(const Window& window, Values u, std::span<double> x) const {
  for (std::size_t i = 0; i < u.size(); ++i) x[i] = quantile_in(window, u[i], 1.0 - u[i]);
}

Distribution Continuous::cut(double low, double high) const {
  const double from = std::max(low, lowest());
  const double to = std::min(high, highest());
  if (!(from < to)) fail_empty(low, high);
  const double mass = interval(from, to);
  if (!(mass >= k_least_mass)) fail_empty(low, high);
  return make<Truncated>(std::static_pointer_cast<const Continuous>(shared_from_this()),
                         Window{from, to, lower(from), upper(to), mass, upper(from), lower(to)});
}

}  // namespace blendrisk::distributions
