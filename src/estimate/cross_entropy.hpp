#pragma once

#include "estimate/randomised_qmc.hpp"

namespace blendrisk::estimate {

/// Fits importance sampling to an integrand: where all laws are log-concave one tilt by
/// cross-entropy (Rubinstein and Kroese, The Cross-Entropy Method, 2004; from memory): on a small
/// pilot set each input's tilt gets the mean of its coordinate under the integrand, the integrand
/// flattened by a power where too few points carry it, and where none does, the points nearest to
/// the event in its place; a few rounds on the same points. Elsewhere, and where that does not
/// settle, a mixture: one of problem.nearby, see FitsNearby, or that of fit_mixture.
Fit fit_importance(const Problem& problem, Workspace& workspace);

}  // namespace blendrisk::estimate
