#pragma once

#include <cstddef>
#include <span>

#include "models/infinity.hpp"

/// Pumped volume and time along phases of constant rate.
namespace blendrisk::models {

struct RatePhase {
  double rate_l_per_s;  ///< >= 0
  double duration_s;    ///< > 0; infinite for the last, which goes on
};

/// Volume pumped [L] by `time_s` >= 0.
/// @param phase_at  phase_at(k) for k < count: the phases in their order
template <class PhaseAt>
double pumped_volume(std::size_t count, const PhaseAt& phase_at, double time_s) {
  double volume = 0.0;
  for (std::size_t k = 0; k < count; ++k) {
    const RatePhase phase = phase_at(k);
    if (!(time_s > phase.duration_s)) return volume + phase.rate_l_per_s * time_s;
    volume += phase.rate_l_per_s * phase.duration_s;
    time_s -= phase.duration_s;
  }
  return volume;
}

inline double pumped_volume(std::span<const RatePhase> phases, double time_s) {
  return pumped_volume(
      phases.size(), [phases](std::size_t k) { return phases[k]; }, time_s);
}

/// The first time [s] at which `volume_l` >= 0 has been pumped; infinite where the last rate is 0
/// and it never is.
template <class PhaseAt>
double time_to_pump(std::size_t count, const PhaseAt& phase_at, double volume_l) {
  double time = 0.0;
  for (std::size_t k = 0; k < count; ++k) {
    const RatePhase phase = phase_at(k);
    const double all = phase.rate_l_per_s * phase.duration_s;
    if (phase.rate_l_per_s > 0.0 && volume_l <= all) return time + volume_l / phase.rate_l_per_s;
    if (volume_l <= 0.0) return time;
    volume_l -= phase.rate_l_per_s > 0.0 ? all : 0.0;
    time += phase.duration_s;
  }
  return k_infinity;
}

inline double time_to_pump(std::span<const RatePhase> phases, double volume_l) {
  return time_to_pump(
      phases.size(), [phases](std::size_t k) { return phases[k]; }, volume_l);
}

}  // namespace blendrisk::models
