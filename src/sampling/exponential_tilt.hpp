#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "sampling/case_inputs.hpp"

/// Draws of the inputs under a tilt: an exponential tilt of each, towards where misses are.
namespace blendrisk::sampling {

/// The coordinate in which an input is tilted. A standard normal one is shifted; a uniform one gets
/// the density θ e^{θu}/(e^θ − 1) on (0, 1).
enum class Coordinate {
  normal,          ///< x = mean + sd z
  through_normal,  ///< x = quantile(Φ(z)): bell-shaped laws
  uniform          ///< x = quantile(u)
};
Coordinate coordinate_of(const distributions::Distribution& law);

/// One strength an input in the order of `slots`: the shift of z, or θ. Empty: no tilt.
using Strengths = std::vector<double>;

/// The largest |θ|.
inline constexpr double k_most_tilt = 500.0;

/// The mean of a uniform coordinate tilted by θ: 1/(1 − e^{−θ}) − 1/θ; and the θ with a given mean
/// in (0, 1), held within ±k_most_tilt.
double tilted_mean(double theta);
double tilt_with_mean(double mean);

/// Cases of a batch while their inputs are drawn one after the other. All spans have one element a
/// case.
struct Draws {
  std::span<double> u;  ///< in: uniforms; out: the coordinate in which the input is tilted
  std::span<const double> tilted = {};  ///< 1: drawn from the tilted law, 0: from the input's own
  std::span<double> log_ratio = {};     ///< += ln(tilted density / own density)
};

/// Draws input `slot` under a tilt of `strength` (0: none).
void draw_input(const CaseInputs& inputs, std::size_t slot, double strength, const Draws& draws,
                CaseBatch& batch);

/// The same for the coordinate alone, a standard normal score: u becomes the scores.
void draw_scores(double strength, const Draws& draws);

}  // namespace blendrisk::sampling
