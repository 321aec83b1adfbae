#pragma once

#include <span>
#include <vector>

#include "distributions/distribution.hpp"

/// The laws that there are, each in a file of its name. All throw text::Error.
namespace blendrisk::distributions {

Distribution normal(double mean, double sd);
Distribution uniform(double low, double high);
/// Density rising from low to flat_from, level to flat_to, falling to high; triangular where
/// flat_from == flat_to.
Distribution trapezoidal(double low, double flat_from, double flat_to, double high);
Distribution triangular(double low, double peak, double high);
Distribution arcsine(double low, double high);
/// a and b from 0.001 to 1e9.
Distribution beta(double low, double high, double a, double b);
/// dof from 0.02 to 1e9.
Distribution student(double center, double scale, double dof);
/// Scaled and shifted t of repeated indications, n - 1 degrees of freedom, scale s/sqrt(n); n >= 2,
/// not all equal. Source: JCGM 101:2008 clause 6.4.9 (from memory).
Distribution tests(std::span<const double> values);
/// Steps at the values, each of equal weight. Two values at least.
Distribution empirical(std::vector<double> values);

/// Points of the distribution function, share before value, two at least and rising: the value is a
/// straight line in the normal score of the share from each to the next and beyond both ends.
Distribution quantiles(std::span<const double> shares_and_values);

/// `base` and what a display that is read to the nearest `step` leaves open: uniform within half a
/// step either way, independent. Unchanged for a step of 0. The distribution function is within
/// 1e-9 of exact where base's is smooth over a step, 1e-5 where it has kinks, exact for steps.
/// Rounding as uniform: JCGM 100:2008, F.2.2.1 (from memory).
Distribution rounded(const Distribution& base, double step);

struct Form;
extern const Form exact_form, normal_form, uniform_form, triangular_form, trapezoidal_form,
    arcsine_form, beta_form, student_form, tests_form, quantiles_form, measured_form;

}  // namespace blendrisk::distributions
