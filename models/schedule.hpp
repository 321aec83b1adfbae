#pragma once

#include <span>

#include "models/infinity.hpp"

/// Pumped volume and time along phases of constant rate.
namespace blendrisk::models {

struct RatePhase {
  double rate_l_per_s;  ///< >= 0
  double duration_s;    ///< > 0; infinite for the last, which goes on
};

/// Volume pumped [L] by `time_s` >= 0.
inline double pumped_volume(std::span<const RatePhase> phases, double time_s) {
  double volume = 0.0;
  for (const RatePhase& phase : phases) {
    if (!(time_s > phase.duration_s)) return volume + phase.rate_l_per_s * time_s;
    volume += phase.rate_l_per_s * phase.duration_s;
    time_s -= phase.duration_s;
  }
  return volume;
}

/// The first time [s] at which `volume_l` >= 0 has been pumped; infinite where the last rate is 0
/// and it never is.
inline double time_to_pump(std::span<const RatePhase> phases, double volume_l) {
  double time = 0.0;
  for (const RatePhase& phase : phases) {
    const double all = phase.rate_l_per_s * phase.duration_s;
    if (phase.rate_l_per_s > 0.0 && volume_l <= all) return time + volume_l / phase.rate_l_per_s;
    if (volume_l <= 0.0) return time;
    volume_l -= phase.rate_l_per_s > 0.0 ? all : 0.0;
    time += phase.duration_s;
  }
  return k_infinity;
}

}  // namespace blendrisk::models
