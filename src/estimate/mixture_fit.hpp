#pragma once

#include "estimate/randomised_qmc.hpp"

namespace blendrisk::estimate {

/// Fits a mixture of normal laws of the inputs' scores to an integrand: a pilot set wide in every
/// score, then rounds of points from the mixture so far, each followed by expectation maximisation
/// under the integrand's weights, flattened by a power where too few points carry them
/// (cross-entropy with mixtures: N. Kurtz, J. Song, Structural Safety 42, 2013; S. Geyer,
/// I. Papaioannou, D. Straub, Structural Safety 76, 2019; from memory). Its parts: what was fitted,
/// the inputs' own law, for each input the own law with that input wide, since misses by one input
/// alone may be too rare for a pilot, and what fills the gaps that are then found.
/// No parts where no point near a miss was found.
Fit fit_mixture(const Problem& problem, Workspace& workspace);

}  // namespace blendrisk::estimate
