#pragma once

#include <vector>

#include "tank/linear_blend.hpp"

namespace blendrisk::tank {

/// Mean, standard deviation and quantiles of the landed content over scrambled Sobol' points:
/// moments with every input drawn; each quantile as the root, over common points, of the mean
/// conditional distribution function. Where nothing is conditioned, or hardly
/// anything varies, quantiles of the drawn contents. What is known of fills counts as the points'
/// weights.
/// @param to_an_error  more points, up to 65 536, until no quantile's standard error is above 2e-5;
/// else 4096, or as many as are worth so many
estimate::Found<estimate::Landed> estimate_landed(const sampling::CaseInputs& inputs,
                                                  std::optional<std::size_t> conditioned,
                                                  std::uint64_t seed, bool to_an_error = true);

/// Quantiles by order statistics (linear between neighbours; Hyndman and Fan, The American
/// Statistician 50, 1996, type 7); reorders the contents.
std::array<double, 5> quantiles_of(std::span<double> contents);

}  // namespace blendrisk::tank
