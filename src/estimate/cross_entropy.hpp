#pragma once

#include "estimate/randomised_qmc.hpp"

namespace blendrisk::estimate {

/// A tilt fitted to an integrand.
struct Fit {
  sampling::Strengths strengths;  ///< empty where the fit failed: go without
  std::uint64_t evaluations = 0;
};

/// Fits the tilt by cross-entropy (Rubinstein and Kroese, The Cross-Entropy Method, 2004; from
/// memory): on a small pilot set each input's tilt gets the mean of its coordinate under the
/// integrand, the integrand flattened by a power where too few points carry it, and where none
/// does, the points nearest to the event in its place. A few rounds on the same points.
Fit fit_tilt(const Problem& problem, Workspace& workspace);

}  // namespace blendrisk::estimate
