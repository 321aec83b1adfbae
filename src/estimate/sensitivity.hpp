#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "estimate/interval.hpp"

/// How much of the spread of an answer comes from each input: Sobol' indices.
namespace blendrisk::estimate {

/// A share with its error; an interval may reach a little below 0 or above 1, where estimates do.
struct Index {
  double value = 0.0;
  double standard_error = 0.0;
  std::array<double, 2> interval{0.0, 0.0};
};

struct Sensitivity {
  Index first_order;  ///< share of the variance that goes when the input is known
  Index total;        ///< share that is left when all others are known
};

/// f of a batch of points: u[d] is the column of dimension d, uniform in (0, 1).
using BatchFunction =
    std::function<void(const std::vector<std::span<const double>>& u, std::span<double> f)>;

/// First-order indices by Saltelli's estimator, mean of f_B (f_AB − f_A) over the variance, total
/// ones by Jansen's, mean of (f_A − f_AB)²/2 over the variance (A. Saltelli et al., Computer
/// Physics Communications 181, 2010, table 2; from memory): A and B are halves of scrambled Sobol'
/// points, AB is A with one column of B. Sixteen scramblings of 2^log2_points give the errors, as
/// ratios linearised over them; 95 % intervals by Student's t.
/// @param dimensions  at most half of sampling::k_max_dimensions
/// @param wanted  the dimensions that are told, in this order; all 0 where f does not vary
std::vector<Sensitivity> sobol_indices(std::size_t dimensions,
                                       const std::vector<std::size_t>& wanted,
                                       const BatchFunction& f, unsigned log2_points,
                                       std::uint64_t seed);

}  // namespace blendrisk::estimate
