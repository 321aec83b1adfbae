#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "sampling/case_inputs.hpp"

/// Draws of the inputs under a lean: an exponential tilt of each, towards where misses are.
namespace blendrisk::sampling {

/// The coordinate in which an input leans. A standard normal one is shifted; a uniform one gets the
/// density θ e^{θu}/(e^θ − 1) on (0, 1).
enum class Coordinate {
  normal,          ///< x = mean + sd z
  through_normal,  ///< x = quantile(Φ(z)): bell-shaped laws
  uniform          ///< x = quantile(u)
};
Coordinate coordinate_of(const distributions::Distribution& law);

/// One strength an input in the order of `slots`: the shift of z, or θ. Empty: no lean.
using Strengths = std::vector<double>;

/// The largest |θ|.
inline constexpr double k_most_tilt = 500.0;

/// The mean of a uniform coordinate tilted by θ: 1/(1 − e^{−θ}) − 1/θ; and the θ with a given mean
/// in (0, 1), held within ±k_most_tilt.
double tilted_mean(double theta);
double tilt_with_mean(double mean);

/// Draws of input `slot` for cases 0 .. n − 1.
/// @param u          in: uniforms; out: the (leaned) coordinate
/// @param leaned     for each case 1 where it is drawn from the leaned law, 0 where from the
///                   input's own
/// @param strength   of the lean; 0: none
/// @param log_ratio  += ln(leaned density / own density) at each case
void draw_input(const CaseInputs& inputs, std::size_t slot, std::span<double> u,
                std::span<const double> leaned, double strength, std::span<double> log_ratio,
                CaseBatch& batch);

}  // namespace blendrisk::sampling
