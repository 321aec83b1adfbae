#pragma once

/// The laws of statistics of normal samples: Student's t, χ², F, and the beta law of counts. By
/// Boost.Math, compiled in one place; Student's t and the beta law in doubles throughout. Throws
/// std::domain_error for degrees of freedom and shapes that are not above 0 and for chances outside
/// [0, 1].
namespace blendrisk::numeric {

/// P(T <= x).
double student_t_cdf(double dof, double x);
/// The x with P(T <= x) = p, p in (0, 1).
double student_t_quantile(double dof, double p);
/// The x with P(T > x) = tail, tail in (0, 1): digits of small tails are kept.
double student_t_upper_quantile(double dof, double tail);

/// P(X <= x) and P(X > x), x >= 0.
double chi_squared_cdf(double dof, double x);
double chi_squared_tail(double dof, double x);
/// The density at x >= 0.
double chi_squared_density(double dof, double x);
/// The x with P(X <= x) = p, and that with P(X > x) = tail.
double chi_squared_quantile(double dof, double p);
double chi_squared_upper_quantile(double dof, double tail);

/// P(F > f) of `between` and `within` degrees of freedom, f >= 0.
double fisher_f_tail(double between, double within, double f);
/// The f with P(F <= f) = p.
double fisher_f_quantile(double between, double within, double p);

/// The x with P(X <= x) = p of the beta law with shapes a and b.
double beta_quantile(double a, double b, double p);

}  // namespace blendrisk::numeric
