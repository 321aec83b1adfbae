#include "sampling/exponential_tilt.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "models/target_clones.hpp"
#include "numeric/simd_math.hpp"
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

namespace {

constexpr double k_farthest = 1e-24;
const double k_log_range = std::log(0.5 / k_farthest);

/// The stretched ones' uniforms become tail probabilities, with the sign of the end they are at.
void stretch_uniforms(const Draws& draws, std::size_t order, std::span<double> sign) {
  std::fill(sign.begin(), sign.end(), 1.0);
  if (draws.stretched.empty()) return;
  for (std::size_t i = 0; i < draws.u.size(); ++i) {
    if (draws.stretched[i] != static_cast<double>(order)) continue;
    const bool low = draws.u[i] < 0.5;
    const double place = low ? 2.0 * draws.u[i] : 2.0 * (1.0 - draws.u[i]);
    draws.u[i] = k_farthest * std::exp(place * k_log_range);
    sign[i] = low ? 1.0 : -1.0;
  }
}

// Mass 1/2 at either end over the range of ln v.
BLENDRISK_CLONES void stretch_loop(const double* tail, double* stretch, double log_range,
                                   std::size_t n) {
  const double scale = 0.5 / log_range;
  for (std::size_t i = 0; i < n; ++i) {
    stretch[i] += tail[i] >= k_farthest ? scale / tail[i] : 0.0;
  }
}

void normal_coordinate(const Draws& draws, std::span<double> sign, double strength) {
  const std::size_t n = draws.u.size();
  numeric::normal_quantile(draws.u, draws.u);
  for (std::size_t i = 0; i < n; ++i) draws.u[i] *= sign[i];
  if (strength != 0.0) {
    shift_loop(draws.u.data(), draws.tilted.data(), strength, draws.log_ratio.data(), n);
  }
  if (!draws.stretch.empty()) {
    for (std::size_t i = 0; i < n; ++i) sign[i] = -std::abs(draws.u[i]);
    numeric::normal_cdf(sign, sign);
    stretch_loop(sign.data(), draws.stretch.data(), k_log_range, n);
  }
}

void draw_uniform(const Input& input, const Draws& draws, std::span<double> sign, double strength,
                  double* x) {
  const std::size_t n = draws.u.size();
  for (std::size_t i = 0; i < n; ++i) {
    if (sign[i] < 0.0) draws.u[i] = std::min(1.0 - draws.u[i], k_largest);
  }
  if (strength != 0.0) {
    tilt_loop(draws.u.data(), draws.tilted.data(), strength, draws.log_ratio.data(), n);
  }
  if (!draws.stretch.empty()) {
    for (std::size_t i = 0; i < n; ++i) sign[i] = std::min(draws.u[i], 1.0 - draws.u[i]);
    stretch_loop(sign.data(), draws.stretch.data(), k_log_range, n);
  }
  distributions::quantile(input.law, draws.u, {x, n});
}

/// part(some, sign, from) for the cases chunk by chunk, those stretched marked.
template <class Part>
void in_chunks(std::size_t order, const Draws& draws, const Part& part) {
  constexpr std::size_t k_signs = 512;
  std::array<double, k_signs> signs;  // NOLINT: written before it is read
  for (std::size_t from = 0; from < draws.u.size(); from += k_signs) {
    const std::size_t n = std::min(k_signs, draws.u.size() - from);
    const auto cut = [from, n](auto span) { return span.empty() ? span : span.subspan(from, n); };
    const Draws some{cut(draws.u), cut(draws.tilted), cut(draws.stretched), cut(draws.log_ratio),
                     cut(draws.stretch)};
    const std::span<double> sign(signs.data(), n);
    stretch_uniforms(some, order, sign);
    part(some, sign, from);
  }
}

}  // namespace

void draw_scores(std::size_t order, double strength, const Draws& draws) {
  in_chunks(order, draws, [strength](const Draws& some, std::span<double> sign, std::size_t) {
    normal_coordinate(some, sign, strength);
  });
}

void draw_input(const CaseInputs& inputs, std::size_t slot, std::size_t order, double strength,
                const Draws& draws, CaseBatch& batch) {
  const Input& input = inputs[slot];
  double* x = batch.column(slot);
  const bool normal = coordinate_of(input.law) != Coordinate::uniform;
  in_chunks(order, draws, [&](const Draws& some, std::span<double> sign, std::size_t from) {
    if (normal) {
      normal_coordinate(some, sign, strength);
      input.law.law().fill_at_scores(some.u, x + from);
    } else {
      draw_uniform(input, some, sign, strength, x + from);
    }
  });
  batch.hold(input, slot, draws.u.size());
}

}  // namespace blendrisk::sampling
