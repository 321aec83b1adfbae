#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <vector>

#include "estimate/interval.hpp"
#include "estimate/smc_sampler.hpp"

/// Means over weighted cases that come in independent blocks (SmcSampler), with their scatter.
namespace blendrisk::line {

/// A mean over the cases with its scatter over blocks.
struct MeanOverBlocks {
  double mean = 0.0;
  double spread = 0.0;    ///< variance over the cases
  double variance = 0.0;  ///< of the mean
};

template <class Case, class Value>
MeanOverBlocks mean_over_blocks(const std::vector<Case>& all, const Value& value) {
  std::array<double, estimate::SmcSampler::k_blocks> sum{};
  std::array<double, estimate::SmcSampler::k_blocks> weight{};
  MeanOverBlocks result;
  for (const Case& one : all) {
    sum[one.block] += one.weight * value(one);
    weight[one.block] += one.weight;
    result.mean += one.weight * value(one);
  }
  for (const Case& one : all) {
    const double off = value(one) - result.mean;
    result.spread += one.weight * off * off;
  }
  constexpr auto n = static_cast<double>(estimate::SmcSampler::k_blocks);
  for (std::size_t b = 0; b < estimate::SmcSampler::k_blocks; ++b) {
    const double off = sum[b] - weight[b] * result.mean;
    result.variance += off * off * n / (n - 1.0);
  }
  return result;
}

/// The share of cases with a property; where none or all have it, a bound from the effective
/// number of cases.
template <class Case, class Has>
estimate::Estimate share_of(const std::vector<Case>& all, double effective_cases, const Has& has) {
  const MeanOverBlocks mean =
      mean_over_blocks(all, [&](const Case& one) { return has(one) ? 1.0 : 0.0; });
  const auto n = static_cast<std::uint64_t>(std::max(1.0, effective_cases));
  const estimate::Estimate none = estimate::zero_hit_bound(n);
  if (mean.mean < 1e-12) return none;
  if (mean.mean > 1.0 - 1e-12) return {1.0, 0.0, {1.0 - none.interval[1], 1.0}, false};
  estimate::Estimate estimate = estimate::student_estimate(
      {std::clamp(mean.mean, 0.0, 1.0), mean.variance, estimate::SmcSampler::k_blocks - 1.0});
  estimate.upper_bound_only = !(estimate.interval[0] > 0.0);
  return estimate;
}

}  // namespace blendrisk::line
