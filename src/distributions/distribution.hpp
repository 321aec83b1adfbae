#pragma once

#include <limits>
#include <memory>
#include <span>
#include <stdexcept>
#include <string>
#include <variant>
#include <vector>

/// Laws of one uncertain value, by distribution function, its complement, its inverse and the mean;
/// no densities, so that steps and jumps are laws like any other.
namespace blendrisk::distributions {

/// Parameters that are no law (sd 0, reversed bounds, an empty window). what() says which.
struct ParameterError : std::invalid_argument {
  using std::invalid_argument::invalid_argument;
};

struct Exact {
  double value;
};
struct Normal {
  double mean, sd;
};
struct Uniform {
  double low, high;
};
/// Density rising from low to flat_from, level to flat_to, falling to high; triangular where
/// flat_from == flat_to.
struct Trapezoidal {
  double low, flat_from, flat_to, high;
};
struct Arcsine {
  double low, high;
};
struct Beta {
  double low, high, a, b;
};
struct Student {
  double center, scale, dof;
};
/// Step distribution function of the sorted values, each with equal weight. What lies beyond them
/// is unknown, but that it lies in [low, high] where the law was cut to that window.
struct Empirical {
  std::shared_ptr<const std::vector<double>> sorted;
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity();
};
struct Truncated;
class ScoreTable;

/// One law. Copies are cheap and immutable. Made only by the functions below, which check.
class Distribution {
 public:
  using Law = std::variant<Exact, Normal, Uniform, Trapezoidal, Arcsine, Beta, Student, Empirical,
                           std::shared_ptr<const Truncated>>;
  Distribution() : law_(Exact{0.0}) {}
  explicit Distribution(Law law);
  const Law& law() const { return law_; }

  /// A table of quantiles for laws whose inverse is a search (beta and t laws, and what truncation
  /// leaves of them), made when first asked for and shared by copies; none for others.
  const ScoreTable* scores() const;

 private:
  struct Later;
  Law law_;
  std::shared_ptr<Later> later_;
};

/// `base` renormalised on [low, high].
struct Truncated {
  Distribution base;
  double low, high;
  double below;  ///< P(base < low)
  double above;  ///< P(base > high)
  double mass;   ///< P(low <= base <= high), computed without cancellation
};

Distribution exact(double value);
Distribution normal(double mean, double sd);
Distribution uniform(double low, double high);
Distribution triangular(double low, double peak, double high);
Distribution trapezoidal(double low, double flat_from, double flat_to, double high);
Distribution arcsine(double low, double high);
Distribution beta(double low, double high, double a, double b);
Distribution student(double center, double scale, double dof);
/// Scaled and shifted t of repeated indications, n - 1 degrees of freedom, scale s/sqrt(n); n >= 2,
/// not all equal. Source: JCGM 101:2008 clause 6.4.9 (from memory).
Distribution tests(std::span<const double> values);
/// Two values at least.
Distribution empirical(std::vector<double> values);
Distribution truncated(const Distribution& base, double low, double high);

/// The law shifted as a whole, its window too, so that its centre comes to lie at `centre`: the
/// mean of the law without its window; of a Student law its center.
Distribution moved(const Distribution& d, double centre);

/// P(X <= x), and P(X < x), which differs where the law has steps.
double cdf(const Distribution& d, double x);
double cdf_below(const Distribution& d, double x);
/// P(X > x), computed as such and not as 1 - cdf.
double complement(const Distribution& d, double x);
/// The smallest x with P(X <= x) >= p, p in (0, 1); and the same for an upper tail q = 1 - p.
double quantile(const Distribution& d, double p);
double quantile_complement(const Distribution& d, double q);
/// The mean; for a Student law of at most one degree of freedom, which has none, its center.
double mean(const Distribution& d);
/// Least and greatest value, infinite where there is none.
double lowest(const Distribution& d);
double highest(const Distribution& d);
bool is_exact(const Distribution& d);
/// Whether the density is log-concave (normal, uniform, trapezoidal, beta with a and b >= 1, and
/// what truncation leaves of them): light tails and one peak. Exact values are, steps are not.
bool is_log_concave(const Distribution& d);

/// The same over cases: p[i] = P(X < x[i]), q[i] = P(X > x[i]), x[i] = quantile(u[i]), u in (0, 1).
/// Output as long as input. Normal laws and their truncations are vectorised.
void cdf_below(const Distribution& d, std::span<const double> x, std::span<double> p);
void complement(const Distribution& d, std::span<const double> x, std::span<double> q);
void quantile(const Distribution& d, std::span<const double> u, std::span<double> x);

}  // namespace blendrisk::distributions
