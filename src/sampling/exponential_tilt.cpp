#include "sampling/exponential_tilt.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/simd_math.hpp"
#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::sampling {
namespace {

using distributions::Distribution;

constexpr double k_least_uniform = 1e-300;
constexpr double k_largest = 1.0 - 0x1p-53;

BLENDRISK_CLONES void shift_loop(double* z, const double* tilted, double shift, double* log_ratio,
                                 std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    z[i] += shift * tilted[i];
    log_ratio[i] += shift * (z[i] - 0.5 * shift);
  }
}

// v → u by the inverse of the tilted distribution function, as the distance s from the favoured
// end: s = −ln(1 − w (1 − e^{−θ}))/θ for θ > 0 with w the distance of v from that end's far side.
BLENDRISK_CLONES void tilt_loop(double* u, const double* tilted, double theta, double* log_ratio,
                                std::size_t n) {
  const double size = theta < 0.0 ? -theta : theta;
  const double lost = -__builtin_expm1(-size);
  const double offset = __builtin_log(size / lost);
  for (std::size_t i = 0; i < n; ++i) {
    const double far = theta < 0.0 ? u[i] : 1.0 - u[i];
    const double moved = -numeric::lanes::log(1.0 - far * lost) / size;
    const double s = tilted[i] > 0.5 ? moved : far;
    log_ratio[i] += offset - size * s;
    const double to = theta < 0.0 ? s : 1.0 - s;
    const double above = to > k_least_uniform ? to : k_least_uniform;
    const double held = above < k_largest ? above : k_largest;
    u[i] = tilted[i] > 0.5 ? held : u[i];
  }
}

}  // namespace

Coordinate coordinate_of(const Distribution& law) {
  const distributions::Traits traits = law.law().traits();
  if (traits.normal) return Coordinate::normal;
  return traits.bell_shaped ? Coordinate::through_normal : Coordinate::uniform;
}

double tilted_mean(double theta) {
  if (std::abs(theta) < 1e-3) return 0.5 + theta / 12.0;
  return -1.0 / std::expm1(-theta) - 1.0 / theta;
}

double tilt_with_mean(double mean) {
  if (!(mean > 1.0 / k_most_tilt)) return -k_most_tilt;
  if (!(mean < 1.0 - 1.0 / k_most_tilt)) return k_most_tilt;
  // Newton from a start that is right at both ends and in the middle; the mean rises with θ.
  double theta = (mean - 0.5) * 3.0 / (mean * (1.0 - mean));
  for (int step = 0; step < 8; ++step) {
    const double error = tilted_mean(theta) - mean;
    const double half = std::sinh(std::min(0.5 * std::abs(theta), 300.0));
    const double slope =
        std::abs(theta) < 1e-3 ? 1.0 / 12.0 : 1.0 / (theta * theta) - 0.25 / (half * half);
    const double next = theta - error / slope;
    if (!std::isfinite(next)) break;
    const double change = std::abs(next - theta);
    theta = std::clamp(next, -k_most_tilt, k_most_tilt);
    if (change < 1e-3 * (1.0 + std::abs(theta))) break;
  }
  return theta;
}

void draw_scores(double strength, const Draws& draws) {
  numeric::normal_quantile(draws.u, draws.u);
  if (strength == 0.0) return;
  shift_loop(draws.u.data(), draws.tilted.data(), strength, draws.log_ratio.data(), draws.u.size());
}

void draw_input(const CaseInputs& inputs, std::size_t slot, double strength, const Draws& draws,
                CaseBatch& batch) {
  const Input& input = inputs[slot];
  const std::size_t n = draws.u.size();
  double* x = batch.column(slot);
  if (coordinate_of(input.law) != Coordinate::uniform) {
    draw_scores(strength, draws);
    input.law.law().fill_at_scores(draws.u, x);
  } else {
    if (strength != 0.0) {
      tilt_loop(draws.u.data(), draws.tilted.data(), strength, draws.log_ratio.data(), n);
    }
    distributions::quantile(input.law, draws.u, {x, n});
  }
  batch.hold(input, slot, n);
}

}  // namespace blendrisk::sampling
