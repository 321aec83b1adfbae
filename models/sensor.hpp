#pragma once

#include <cmath>
#include <span>
#include <vector>

#include "models/prepared_chain.hpp"
#include "models/schedule.hpp"

/// What a content sensor shows: reading = display(lagged content + bias + noise).
namespace blendrisk::models {

/// `value` to the nearest multiple of `step`; as it is where step is 0.
inline double displayed(double value, double step) {
  return step > 0.0 ? std::round(value / step) * step : value;
}

/// The variance of what a display of so large a step leaves open, all of it equally likely (JCGM
/// 100:2008, F.2.2.1, from memory).
inline double rounding_variance(double step) {
  return step * step / 12.0;
}

/// How far a sensor with first-order lag has followed the change of its fuel: L with
///   lagged content = old + (new − old) L(q),  τ dL/dt = F(q(t)) − L,  L(0) = 0,
/// F the residence law up to the sensor. At a constant rate the lag is one more stirred volume,
/// rate × τ: with H the law of that longer chain, in every phase of constant rate
///   L(q) = H(q) + (L(q₀) − H(q₀)) e^{−(q − q₀)/(rate τ)},  q₀ where the phase begins.
class LaggedShare {
 public:
  LaggedShare() = default;

  /// @param to_sensor  chain up to the sensor, with at most two stirred volumes (the third is 0)
  /// @param phases     of the flow through the line; may be empty where lag_s is 0
  /// @param lag_s      time constant τ [s], >= 0
  void prepare(const Chain& to_sensor, std::span<const RatePhase> phases, double lag_s);

  /// L once q_l has been pumped.
  double at(double q_l) const;

 private:
  struct Stretch {
    double from_l, to_l;
    double lag_l;   ///< rate × τ
    double behind;  ///< L − H at from_l
    PreparedChain chain;
  };
  std::vector<Stretch> stretches_;  ///< never empty once prepared; kept between cases
};

}  // namespace blendrisk::models
