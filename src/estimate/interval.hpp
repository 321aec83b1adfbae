#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>

#include "estimate/result.hpp"

/// Means of independent replicates and counts of hits, as chances with a 95 % interval.
namespace blendrisk::estimate {

/// A mean with the variance of that mean and its degrees of freedom.
struct MeanOfReplicates {
  double mean = 0.0;
  double variance = 0.0;
  double dof = 0.0;  ///< 0: exact, no variance
};

/// Of at least two replicates.
MeanOfReplicates mean_of(std::span<const double> replicates);

/// The sum of two independent means, with Welch and Satterthwaite's effective degrees of freedom
/// (JCGM 100:2008, G.4, from memory).
MeanOfReplicates welch_satterthwaite(const MeanOfReplicates& a, const MeanOfReplicates& b);

/// What is known of cases: its chance, and how much points of the own law are worth under weights
/// of it, as a share of their number.
struct Known {
  MeanOfReplicates chance;
  double worth = 1.0;
};

/// The share of an event in what is known, from the chances of both and of what is known, two
/// independent means; `joint` itself where nothing is. First-order propagation (JCGM
/// 100:2008, 5.1.2, from memory).
MeanOfReplicates given(const MeanOfReplicates& joint, const std::optional<Known>& known);

/// Student's t interval about the mean, held within [0, 1].
Estimate student_estimate(const MeanOfReplicates& mean);

/// An estimate without error.
Estimate exact_estimate(double chance);

/// Cases of which none was a hit may be of a chance of so much, once in a thousand times: 7/n.
double unseen_in(std::uint64_t cases);

/// No hit in n independent cases: the chance is below 1 − 0.025^(1/n) at the level of the
/// two-sided interval.
Estimate zero_hit_bound(std::uint64_t n);

/// Clopper and Pearson's interval of `hits` in n > 0 independent cases, by quantiles of the beta
/// law (Biometrika 26, 1934).
Estimate clopper_pearson(std::uint64_t hits, std::uint64_t n);

}  // namespace blendrisk::estimate
