#pragma once

#include <vector>

#include "estimate/landing.hpp"

namespace blendrisk::estimate {

/// Mean, standard deviation and quantiles of the landed content over scrambled Sobol' points:
/// moments with every input drawn; each quantile as the root, over common points, of the mean
/// conditional distribution function. Where nothing is conditioned, or hardly
/// anything varies, quantiles of the drawn contents.
struct LandedResult {
  Landed landed;
  std::uint64_t evaluations = 0;
};
LandedResult estimate_landed(const sampling::CaseInputs& inputs,
                             std::optional<std::size_t> conditioned, std::uint64_t seed);

/// How the landed content is spread: its mean density over equal cells, from the differences of its
/// distribution function on the points of estimate_landed (or their counts where nothing is
/// conditioned). The density times the width of a cell sums to the chance of the range.
struct LandedProfile {
  std::vector<double> content;  ///< middles of the cells
  std::vector<double> density;
  double width = 0.0;
};
/// @param low, high  range of contents, low < high
LandedProfile landed_profile(const sampling::CaseInputs& inputs,
                             std::optional<std::size_t> conditioned, std::uint64_t seed, double low,
                             double high, std::size_t cells);

/// Quantiles by order statistics (linear between neighbours; Hyndman and Fan, The American
/// Statistician 50, 1996, type 7); reorders the contents.
std::array<double, 5> quantiles_of(std::span<double> contents);

}  // namespace blendrisk::estimate
