#include "sampling/lean.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <variant>

#include "models/clones.hpp"
#include "numeric/arrays.hpp"
#include "numeric/lanes.hpp"

namespace blendrisk::sampling {
namespace {

using distributions::Distribution;

constexpr double kSmallest = 1e-300;
constexpr double kLargest = 1.0 - 0x1p-53;

BLENDRISK_CLONES void shift_loop(double* z, const double* leaned, double shift, double* log_ratio,
                                 std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    z[i] += shift * leaned[i];
    log_ratio[i] += shift * (z[i] - 0.5 * shift);
  }
}

// v → u by the inverse of the tilted distribution function, as the distance s from the favoured
// end: s = −ln(1 − w (1 − e^{−θ}))/θ for θ > 0 with w the distance of v from that end's far side.
BLENDRISK_CLONES void tilt_loop(double* u, const double* leaned, double theta, double* log_ratio,
                                std::size_t n) {
  const double size = theta < 0.0 ? -theta : theta;
  const double lost = -__builtin_expm1(-size);
  const double offset = __builtin_log(size / lost);
  for (std::size_t i = 0; i < n; ++i) {
    const double far = theta < 0.0 ? u[i] : 1.0 - u[i];
    const double tilted = -numeric::lanes::log(1.0 - far * lost) / size;
    const double s = leaned[i] > 0.5 ? tilted : far;
    log_ratio[i] += offset - size * s;
    const double to = theta < 0.0 ? s : 1.0 - s;
    const double above = to > kSmallest ? to : kSmallest;
    u[i] = above < kLargest ? above : kLargest;
  }
}

// Both tails from their own side, so that a far upper tail keeps its digits.
void through_normal(const Distribution& law, std::span<const double> z, double* x) {
  const bool bounded = std::isfinite(distributions::highest(law));
  numeric::normal_cdf(z, {x, z.size()});
  for (std::size_t i = 0; i < z.size(); ++i) x[i] = std::clamp(x[i], kSmallest, kLargest);
  distributions::quantile(law, {x, z.size()}, {x, z.size()});
  if (bounded) return;
  for (std::size_t i = 0; i < z.size(); ++i) {
    if (z[i] > 3.0) {
      x[i] =
          distributions::quantile_complement(law, std::max(numeric::normal_cdf(-z[i]), kSmallest));
    }
  }
}

}  // namespace

Coordinate coordinate_of(const Distribution& law) {
  using namespace distributions;
  if (std::holds_alternative<Normal>(law.law())) return Coordinate::normal;
  if (std::holds_alternative<Student>(law.law()) || std::holds_alternative<Beta>(law.law())) {
    return Coordinate::through_normal;
  }
  if (const auto* cut = std::get_if<std::shared_ptr<const Truncated>>(&law.law())) {
    const Coordinate inside = coordinate_of((*cut)->base);
    return inside == Coordinate::uniform ? inside : Coordinate::through_normal;
  }
  return Coordinate::uniform;
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

void draw_input(const CaseInputs& inputs, std::size_t slot, std::span<double> u,
                std::span<const double> leaned, double strength, std::span<double> log_ratio,
                CaseBatch& batch) {
  const Input& input = inputs[slot];
  const std::size_t n = u.size();
  double* x = batch.column(slot);
  const Coordinate coordinate = coordinate_of(input.law);
  if (coordinate == Coordinate::normal) {
    const auto& law = std::get<distributions::Normal>(input.law.law());
    numeric::normal_quantile(u, u);
    if (strength != 0.0) shift_loop(u.data(), leaned.data(), strength, log_ratio.data(), n);
    for (std::size_t i = 0; i < n; ++i) x[i] = law.mean + law.sd * u[i];
  } else if (coordinate == Coordinate::through_normal && strength != 0.0) {
    numeric::normal_quantile(u, u);
    shift_loop(u.data(), leaned.data(), strength, log_ratio.data(), n);
    through_normal(input.law, u, x);
  } else {
    if (coordinate == Coordinate::uniform && strength != 0.0) {
      tilt_loop(u.data(), leaned.data(), strength, log_ratio.data(), n);
    }
    distributions::quantile(input.law, u, {x, n});
    // The coordinate handed back is the one that leans.
    if (coordinate == Coordinate::through_normal) numeric::normal_quantile(u, u);
  }
  batch.hold(input, slot, n);
}

}  // namespace blendrisk::sampling
