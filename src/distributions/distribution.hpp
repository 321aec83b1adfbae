#pragma once

#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <utility>

#include "distributions/quantile_table.hpp"
#include "models/infinity.hpp"

/// Laws of one uncertain value, by distribution function, its complement, its inverse and the mean,
/// so that steps and jumps are laws like any other.
namespace blendrisk::distributions {

/// How a law may be treated.
struct Traits {
  bool exact = false;   ///< one value and no other
  bool normal = false;  ///< mean + sd z of its normal score z
  /// Light tails and one peak: normal, uniform, trapezoidal, beta with a and b >= 1, and what
  /// truncation leaves of them; exact values too, steps not.
  bool log_concave = false;
  bool bell_shaped = false;  ///< to be tilted in its normal score, others in their share u
  bool searched = false;     ///< the inverse is a search, for which a table is made
};

/// Values of equal weight. What lies beyond them is unknown, but that it lies in [low, high] where
/// the law was cut to that window.
struct Steps {
  std::size_t values = 0;
  double low = -k_infinity, high = k_infinity;
};

class Distribution;

/// One law, as its family knows it. Arguments x may be infinite; p and q lie in (0, 1). Each
/// function from its own formula, without cancellation.
class Law : public std::enable_shared_from_this<Law> {
 public:
  Law() = default;
  Law(const Law&) = delete;
  Law& operator=(const Law&) = delete;
  virtual ~Law() = default;

  virtual double lower(double x) const = 0;                        ///< P(X <= x)
  virtual double lower_below(double x) const { return lower(x); }  ///< P(X < x)
  virtual double upper(double x) const = 0;                        ///< P(X > x)
  virtual double lower_quantile(double p) const = 0;  ///< the smallest x with P(X <= x) >= p
  virtual double upper_quantile(double q) const = 0;  ///< the same for P(X > x), q = 1 − p
  virtual double average() const = 0;  ///< the mean; of a t law, which may have none, its center
  virtual double centre() const { return average(); }  ///< the average without a window
  virtual double lowest() const { return -k_infinity; }
  virtual double highest() const { return k_infinity; }
  virtual Traits traits() const { return {}; }
  virtual Steps steps() const { return {}; }
  virtual Distribution shifted(double by) const = 0;  ///< as a whole, a window too
  /// What is left on [low, high], low < high. @throws text::Error where that is nothing
  virtual Distribution cut(double low, double high) const = 0;

  /// Over cases, output as long as input and maybe the same: lower_below, upper, lower_quantile.
  /// For laws that are searched from a table, but for a few cases.
  virtual void fill_below(std::span<const double> x, std::span<double> p) const;
  virtual void fill_above(std::span<const double> x, std::span<double> q) const;
  virtual void fill_quantile(std::span<const double> u, std::span<double> x) const;
  /// x[i] = quantile(Φ(z[i])) from either tail; from the table for laws that are searched.
  virtual void fill_at_scores(std::span<const double> z, double* x) const;
  /// The normal scores z of shares, Φ(z[i]) = P(X < x[i]), or with `above` P(X > x[i]); infinite
  /// where these are 0 or 1, and as exact in either tail. z may be x.
  virtual void fill_score(bool above, std::span<const double> x, std::span<double> z) const;

  /// Quantiles at normal scores, made when first asked for.
  const ScoreTable& scores() const;

 private:
  bool by_table(std::size_t count) const;

  mutable std::once_flag made_;
  mutable std::optional<ScoreTable> table_;
};

/// A law as a value: copies are cheap and share it. Made by the functions of families.hpp.
class Distribution {
 public:
  Distribution();  ///< exactly 0
  explicit Distribution(std::shared_ptr<const Law> law) : law_(std::move(law)) {}
  const Law& law() const { return *law_; }

 private:
  std::shared_ptr<const Law> law_;
};

/// That value and no other. @throws text::Error unless it is finite
Distribution exact(double value);

/// `base` renormalised on [low, high]. @throws text::Error for a window that is none or that
/// holds none of it
Distribution truncated(const Distribution& base, double low, double high);

/// The law shifted as a whole, so that its centre comes to lie there.
inline Distribution moved(const Distribution& d, double centre) {
  return d.law().shifted(centre - d.law().centre());
}

// What is asked of a law: see there.
using Values = std::span<const double>;
inline double cdf(const Distribution& d, double x) {
  return d.law().lower(x);
}
inline double cdf_below(const Distribution& d, double x) {
  return d.law().lower_below(x);
}
inline double complement(const Distribution& d, double x) {
  return d.law().upper(x);
}
inline double quantile(const Distribution& d, double p) {
  return d.law().lower_quantile(p);
}
inline double quantile_complement(const Distribution& d, double q) {
  return d.law().upper_quantile(q);
}
inline double mean(const Distribution& d) {
  return d.law().average();
}
inline double lowest(const Distribution& d) {
  return d.law().lowest();
}
inline double highest(const Distribution& d) {
  return d.law().highest();
}
inline bool is_exact(const Distribution& d) {
  return d.law().traits().exact;
}
inline void cdf_below(const Distribution& d, Values x, std::span<double> p) {
  d.law().fill_below(x, p);
}
inline void complement(const Distribution& d, Values x, std::span<double> q) {
  d.law().fill_above(x, q);
}
inline void score(const Distribution& d, bool above, Values x, std::span<double> z) {
  d.law().fill_score(above, x, z);
}
inline void quantile(const Distribution& d, Values u, std::span<double> x) {
  d.law().fill_quantile(u, x);
}

}  // namespace blendrisk::distributions
