#pragma once

#include "distributions/distribution.hpp"

/// The formulas of each law, for the module's own use. For a law F:
///   lower(x) = P(X <= x), upper(x) = P(X > x), each from its own formula;
///   lower_quantile(p) inverts lower and upper_quantile(q) inverts upper;
///   interval(a, b) = P(a < X <= b) for a <= b without cancellation, density(x) its derivative
///   (continuous laws only);
///   mean, lowest, highest;
///   partial_mean(a, b, mass) the mean of X given a < X <= b, where mass = interval(a, b);
///   extent(a, b) the width of the law or, for a window (a, b] in its tail, that of the tail there.
/// Arguments x may be infinite; p and q lie in (0, 1).
namespace blendrisk::distributions::laws {

double lower(const Exact& law, double x);
double upper(const Exact& law, double x);
double lower_quantile(const Exact& law, double p);
double upper_quantile(const Exact& law, double q);
double mean(const Exact& law);
double lowest(const Exact& law);
double highest(const Exact& law);

double lower(const Empirical& law, double x);
double upper(const Empirical& law, double x);
double lower_quantile(const Empirical& law, double p);
double upper_quantile(const Empirical& law, double q);
double mean(const Empirical& law);
double lowest(const Empirical& law);
double highest(const Empirical& law);

/// P(X < x); equal to lower where the law has no steps.
double lower_below(const Exact& law, double x);
double lower_below(const Empirical& law, double x);

double lower(const Normal& law, double x);
double upper(const Normal& law, double x);
double lower_quantile(const Normal& law, double p);
double upper_quantile(const Normal& law, double q);
double interval(const Normal& law, double a, double b);
double density(const Normal& law, double x);
double mean(const Normal& law);
double lowest(const Normal& law);
double highest(const Normal& law);

double lower(const Student& law, double x);
double upper(const Student& law, double x);
double lower_quantile(const Student& law, double p);
double upper_quantile(const Student& law, double q);
double interval(const Student& law, double a, double b);
double density(const Student& law, double x);
double partial_mean(const Student& law, double a, double b, double mass);
double extent(const Student& law, double a, double b);
double mean(const Student& law);
double lowest(const Student& law);
double highest(const Student& law);

double lower(const Uniform& law, double x);
double upper(const Uniform& law, double x);
double lower_quantile(const Uniform& law, double p);
double upper_quantile(const Uniform& law, double q);
double interval(const Uniform& law, double a, double b);
double density(const Uniform& law, double x);
double mean(const Uniform& law);
double lowest(const Uniform& law);
double highest(const Uniform& law);

double lower(const Trapezoidal& law, double x);
double upper(const Trapezoidal& law, double x);
double lower_quantile(const Trapezoidal& law, double p);
double upper_quantile(const Trapezoidal& law, double q);
double interval(const Trapezoidal& law, double a, double b);
double density(const Trapezoidal& law, double x);
double mean(const Trapezoidal& law);
double lowest(const Trapezoidal& law);
double highest(const Trapezoidal& law);

double lower(const Arcsine& law, double x);
double upper(const Arcsine& law, double x);
double lower_quantile(const Arcsine& law, double p);
double upper_quantile(const Arcsine& law, double q);
double interval(const Arcsine& law, double a, double b);
double density(const Arcsine& law, double x);
double mean(const Arcsine& law);
double lowest(const Arcsine& law);
double highest(const Arcsine& law);

double lower(const Beta& law, double x);
double upper(const Beta& law, double x);
double lower_quantile(const Beta& law, double p);
double upper_quantile(const Beta& law, double q);
double interval(const Beta& law, double a, double b);
double density(const Beta& law, double x);
double partial_mean(const Beta& law, double a, double b, double mass);
double extent(const Beta& law, double a, double b);
double mean(const Beta& law);
double lowest(const Beta& law);
double highest(const Beta& law);

using TruncatedPtr = std::shared_ptr<const Truncated>;
double lower(const TruncatedPtr& law, double x);
double upper(const TruncatedPtr& law, double x);
double lower_quantile(const TruncatedPtr& law, double p);
double upper_quantile(const TruncatedPtr& law, double q);
double mean(const TruncatedPtr& law);
double lowest(const TruncatedPtr& law);
double highest(const TruncatedPtr& law);

template <class Law>
double lower_below(const Law& law, double x) {
  return lower(law, x);
}

}  // namespace blendrisk::distributions::laws
