#pragma once

#include <array>

#include "models/transit.hpp"

/// The residence law of one case's chain, prepared once and then evaluated at many volumes; see
/// ChainBatch for many cases.
namespace blendrisk::models {

/// F of residence_cdf in closed form. With the stirred volumes apart, 1 − F of the stirred part is
/// Σ A_i e^{−q/V_i}, A_i = Π_{j≠i} V_i/(V_i − V_j); convolved with the laminar pipe of volume V,
///   1 − F = ρ² + Σ A_i (ρ² h(q/V_i) − e^{(V/2 − q)/V_i} h(V/2V_i)),  ρ = V/2q,
/// h the pipe_function. Two volumes that are nearly equal are set 2e-6 apart around their mean,
/// which moves F by some 1e-11, since F is even in their difference; three go to residence_cdf.
class PreparedChain {
 public:
  PreparedChain() = default;
  explicit PreparedChain(const Chain& chain);

  /// F(q), absolute error below 1e-9; 0 for q < 0, 1 for infinite q.
  double cdf(double q_l) const;

  /// The q at which F reaches `share`, to 1e-10 of q; 0 for share <= F(0), infinite for share >= 1.
  double quantile(double share) const;

 private:
  double remaining(double q_l) const;

  Chain chain_{};
  int count_ = 0;      ///< stirred volumes that are not 0
  bool hard_ = false;  ///< by residence_cdf
  std::array<double, 3> weight_{}, rate_{}, shift_{}, at_pipe_{};  ///< A_i, 1/V_i, V/2V_i, h of it
};

/// Share of what a chain holds that is new once q has passed: ∫₀^q (1 − F)/V, since what has come
/// in and not gone out is in it, and that from 0 to infinity is 1. By the midpoints of 64 steps of
/// the shorter side; within 0.01 where F jumps or has a kink, 1e-3 else.
/// @param volume_l  V of the whole chain, the mean of its residence law
double renewed_share(const PreparedChain& chain, double volume_l, double q_l);

}  // namespace blendrisk::models
