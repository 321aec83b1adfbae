#pragma once

#include "estimate/smc_sampler.hpp"

/// The mean of a likelihood over its prior, and a chance under a posterior as the quotient of two.
namespace blendrisk::estimate {

/// The mean is e^log_scale times `mean`.
struct Evidence {
  double log_scale = 0.0;
  MeanOfReplicates mean;
  /// (Σ w)² / Σ w² of the points' weights as a share of their number: how evenly they carry it.
  double effective_share = 0.0;
  std::vector<Weighted> states;  ///< of the points, their limit states; the weights sum to `mean`
  std::uint64_t evaluations = 0;
};

/// By adaptive importance sampling: scrambled Sobol' points of a normal law, one in eight of the
/// prior, and the law fitted anew to the points by their weights until these are even (M.-S. Oh,
/// J. O. Berger, Journal of Statistical Computation and Simulation 41, 1992; from memory).
/// @param make   likelihoods whose old data are all that there are, and whose new data are a limit
///               state; where it is below `floor`, the likelihood is 0
/// @param first  a law near to the likelihood's cases, as of SmcSampler::fit
/// @param name   of its random numbers, another one for each evidence
Evidence evidence(const MakeLikelihood& make, double floor, NormalFit first, std::uint64_t seed,
                  std::uint64_t name, unsigned threads);

/// The share of a in b, two independent ones.
MeanOfReplicates quotient(const Evidence& a, const Evidence& b);

/// The limit state that the share `share` of `whole` is at or above: the least one of `of`, the
/// evidence of an end, where that has less. Evidences above 0.
double level_of(const Evidence& of, const Evidence& whole, double share);

}  // namespace blendrisk::estimate
