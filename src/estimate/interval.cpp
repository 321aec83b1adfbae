#include "estimate/interval.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/sampling_laws.hpp"

namespace blendrisk::estimate {
namespace {

// Quantile 0.975 of Student's t; the one that every default run needs is tabulated, since the
// search for it costs as much as the estimate.
double student_factor(double dof) {
  static const double fifteen = numeric::student_t_quantile(15.0, 0.975);
  if (dof == 15.0) return fifteen;
  return numeric::student_t_quantile(dof, 0.975);
}

}  // namespace

MeanOfReplicates mean_of(std::span<const double> replicates) {
  const auto n = static_cast<double>(replicates.size());
  double sum = 0.0;
  for (const double value : replicates) sum += value;
  const double mean = sum / n;
  double squares = 0.0;
  for (const double value : replicates) squares += (value - mean) * (value - mean);
  return {mean, squares / (n - 1.0) / n, n - 1.0};
}

MeanOfReplicates welch_satterthwaite(const MeanOfReplicates& a, const MeanOfReplicates& b) {
  const double mean = a.mean + b.mean;
  if (!(a.variance > 0.0)) return {mean, b.variance, b.dof};
  if (!(b.variance > 0.0)) return {mean, a.variance, a.dof};
  const double variance = a.variance + b.variance;
  // By shares, since the squares of small variances underflow.
  const double share = a.variance / variance;
  const double dof = 1.0 / (share * share / a.dof + (1.0 - share) * (1.0 - share) / b.dof);
  return {mean, variance, dof};
}

MeanOfReplicates given(const MeanOfReplicates& joint, const std::optional<Known>& known) {
  if (!known) return joint;
  const auto& [mean, variance, dof] = known->chance;
  const double share = joint.mean / mean;
  const double scale = 1.0 / (mean * mean);
  const MeanOfReplicates of_joint{share, joint.variance * scale, joint.dof};
  return welch_satterthwaite(of_joint, {0.0, share * share * variance * scale, dof});
}

Estimate student_estimate(const MeanOfReplicates& mean) {
  Estimate estimate;
  estimate.chance = std::clamp(mean.mean, 0.0, 1.0);
  estimate.standard_error = std::sqrt(mean.variance);
  const double half = mean.dof > 0.0 ? student_factor(mean.dof) * estimate.standard_error : 0.0;
  // A quotient may exceed 1, which the chance does not: the interval is about the nearest chance.
  estimate.interval = {std::max(estimate.chance - half, 0.0),
                       std::min(estimate.chance + half, 1.0)};
  estimate.upper_bound_only = half > 0.0 && mean.mean - half <= 0.0;
  return estimate;
}

Estimate exact_estimate(double chance) {
  return {chance, 0.0, {chance, chance}, false};
}

double unseen_in(std::uint64_t cases) {
  return 7.0 / static_cast<double>(cases);
}

Estimate zero_hit_bound(std::uint64_t n) {
  return {0.0, 0.0, {0.0, -std::expm1(std::log(0.025) / static_cast<double>(n))}, true};
}

Estimate clopper_pearson(std::uint64_t hits, std::uint64_t n) {
  if (hits == 0) return zero_hit_bound(n);
  const auto k = static_cast<double>(hits);
  const auto all = static_cast<double>(n);
  Estimate estimate;
  estimate.chance = k / all;
  estimate.standard_error = std::sqrt(estimate.chance * (1.0 - estimate.chance) / all);
  estimate.interval[0] = numeric::beta_quantile(k, all - k + 1.0, 0.025);
  estimate.interval[1] = hits == n ? 1.0 : numeric::beta_quantile(k + 1.0, all - k, 0.975);
  return estimate;
}

}  // namespace blendrisk::estimate
