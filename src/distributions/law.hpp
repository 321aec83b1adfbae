#pragma once

#include <algorithm>
#include <cstddef>
#include <initializer_list>
#include <span>

#include "distributions/distribution.hpp"
#include "models/infinity.hpp"

/// What families are made of.
namespace blendrisk::distributions {

/// A window of a law, with the law's share in it (mass, without cancellation) and beyond it, and
/// all that is not below it and not above it.
struct Window {
  double low, high;
  double below, above, mass;
  double not_below, not_above;
};

/// A law with a density, which can be cut to any window. The functions of a window answer for what
/// is left in it, as those of Law for the whole.
class Continuous : public Law {
 public:
  virtual double density(double x) const = 0;
  /// P(a < X <= b), from the nearer tail; by Gauss quadrature of the density (30 nodes, 7 where it
  /// is nearly level) where the difference would lose three digits or more and the density changes
  /// little.
  virtual double interval(double a, double b) const;
  /// The law's share in the window up to x, and from x on, of an x in it: interval, with the tails
  /// at the bounds as the window holds them.
  virtual double from_low(const Window& window, double x) const;
  virtual double to_high(const Window& window, double x) const;
  /// By quadrature of the distribution function, which keeps the digits of the distance from the
  /// bounds, but would miss the mass in a window much wider than the law.
  virtual double average_in(const Window& window) const;
  virtual void fill_below_in(const Window& window, Values x, std::span<double> p) const;
  virtual void fill_above_in(const Window& window, Values x, std::span<double> q) const;
  virtual void fill_quantile_in(const Window& window, Values u, std::span<double> x) const;
  double lower_in(const Window& window, double x) const;
  double upper_in(const Window& window, double x) const;
  /// lower_quantile or upper_quantile, asked by every window: a law that takes long to search
  /// answers from its table, to the same digits.
  virtual double quantile_of_tail(bool lower, double p) const {
    return lower ? lower_quantile(p) : upper_quantile(p);
  }
  /// The x with a share p of the window below and q = 1 − p above.
  double quantile_in(const Window& window, double p, double q) const;
  Distribution cut(double low, double high) const override;

 private:
  /// interval(a, b) from the tails, each asked for where it is needed.
  template <class NotBelowA, class BelowA, class AboveB, class NotAboveB>
  double between(double a, double b, const NotBelowA& not_below_a, const BelowA& below_a,
                 const AboveB& above_b, const NotAboveB& not_above_b) const;
};

/// A law of a family, from its constructor's arguments.
template <class Family, class... Parameters>
Distribution make(Parameters... parameters) {
  return Distribution(std::make_shared<Family>(std::move(parameters)...));
}

/// The normal score of a share from that of the smaller of it and of the rest, which keeps the
/// digits of either tail; infinite where the share is 0 or all.
inline double score_of(double share, double rest, double of_smaller) {
  const double one = share <= rest ? of_smaller : -of_smaller;
  const double high = rest > 0.0 ? one : k_infinity;
  return share > 0.0 ? high : -k_infinity;
}

/// Calls each(from, count) for pieces of n cases that fit the buffers of a vectorised loop.
inline constexpr std::size_t k_chunk = 512;
template <class Each>
void in_chunks(std::size_t n, const Each& each) {
  for (std::size_t from = 0; from < n; from += k_chunk) each(from, std::min(k_chunk, n - from));
}

/// @throws text::Error that the window holds none of the distribution.
[[noreturn]] void fail_empty(double low, double high);

/// Checks of parameters. @throws text::Error, which names the law
void require(bool holds, const char* wrong);
void require_finite(std::initializer_list<double> values, const char* law);
void require_width(double low, double high, const char* law);

}  // namespace blendrisk::distributions
