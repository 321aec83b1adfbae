#pragma once

#include <cstddef>
#include <span>

/// Elementary functions over arrays, vectorised and chosen at run time for the processor.
/// Each output span has at least the input's length; input and output may be the same span.
namespace blendrisk::numeric {

/// p[i] = Φ(z[i]), the standard normal distribution function, accurate relative to its value in
/// the lower tail down to 1e-300 (use −z for the upper tail). Any z but NaN.
void normal_cdf(std::span<const double> z, std::span<double> p);

/// z[i] = Φ⁻¹(u[i]), u in [1e-300, 1 − 2⁻⁵³] (values outside are held there). Wichura, AS 241.
void normal_quantile(std::span<const double> u, std::span<double> z);

/// y[i] = e^x[i], x held within [-745, 709].
void exp(std::span<const double> x, std::span<double> y);

/// y[i] = ln x[i], x positive and normal.
void log(std::span<const double> x, std::span<double> y);

/// The same function of one number.
double normal_cdf(double z);
double normal_quantile(double u);

/// φ(z), 0 from |z| = 40 on.
double normal_density(double z);

/// Φ(b) − Φ(a) for a <= b, without cancellation: both ends from the nearer tail, and Gauss
/// quadrature of the density where the ends are close.
double normal_interval(double a, double b);

/// The same where b − a is known to more digits than a and b keep; 0 for a width not above 0.
double normal_interval(double a, double b, double width);

/// The sum in order of four interleaved partial sums: fixed for a given length.
double sum(std::span<const double> x);

}  // namespace blendrisk::numeric
