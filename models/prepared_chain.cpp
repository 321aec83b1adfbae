#include "models/prepared_chain.hpp"

#include <algorithm>
#include <bit>
#include <boost/math/special_functions/expint.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <functional>
#include <numbers>

#include "models/chebyshev.hpp"
#include "models/infinity.hpp"

namespace blendrisk::models {
namespace {

// Four pieces of every octave from 2^k_first on.
constexpr int k_first = -10;
constexpr std::size_t k_octaves = 17;
constexpr std::size_t k_pieces = 4 * k_octaves;
constexpr std::size_t k_terms = 13;
using Piece = std::array<double, k_terms>;

#ifdef BLENDRISK_NO_WIDER_FLOATS
// Where software computes wider ones they are worth neither time nor size: twelve digits are left.
using Wide = double;
constexpr Wide k_far = 40.0;
#else
using Wide = long double;
constexpr Wide k_far = 60.0;
#endif

/// Σ (k + 2)!/s^{k+1}, until the terms no longer help: what is left of the asymptotic series of Ei
/// (Abramowitz and Stegun, 5.1.51).
Wide far_series(Wide s) {
  Wide term = 2.0 / s;
  Wide sum = 0.0;
  for (int k = 3; k < 80 && term > 1e-21; ++k) {
    sum += term;
    const Wide next = term * static_cast<Wide>(k) / s;
    if (next >= term) break;
    term = next;
  }
  return sum;
}

Wide pipe_function_slowly(Wide s) {
  if (s > k_far) return far_series(s);
  return s * s * std::exp(-s) * boost::math::expint(s) - s - 1.0;
}

/// The powers of every piece, by Chebyshev interpolation.
std::array<Piece, k_pieces> make_pieces() {
  std::array<Piece, k_pieces> pieces{};
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const Wide octave = std::ldexp(Wide{1}, k_first + static_cast<int>(i / 4));
    const Wide low = octave * (1.0 + 0.25 * static_cast<Wide>(i % 4));
    const Wide half = 0.125 * octave;
    pieces[i] = powers_of(chebyshev_coefficients<Wide, k_terms>(
        [&](Wide x) { return pipe_function_slowly(low + half * (1.0 + x)); }));
  }
  return pieces;
}

double near_series(double s) {
  const double ei = std::numbers::egamma + std::log(s) + s * (1.0 + s * (0.25 + s / 18.0));
  return s * s * std::exp(-s) * ei - s - 1.0;
}

}  // namespace

double pipe_function(double s) {
  static const std::array<Piece, k_pieces> pieces = make_pieces();
  constexpr double low = 1.0 / 1024.0;
  constexpr double high = 128.0;
  static_assert(k_first == -10 && k_octaves == 17);
  if (!(s > 0.0)) return -1.0;
  if (s < low) return near_series(s);
  if (s >= high) {
    double sum = 0.0;
    for (int k = 14; k > 1; --k) sum = (1.0 + sum) * static_cast<double>(k) / s;
    return sum;  // 2/s (1 + 3/s (1 + ...))
  }
  // The exponent and the first two digits after the point number the piece; the rest of the digits
  // are the place in it.
  const auto bits = std::bit_cast<std::uint64_t>(s);
  constexpr std::uint64_t first = std::uint64_t{4} * (1023 + k_first);
  const std::size_t index = (bits >> 50U) - first;
  const std::uint64_t rest = (bits & ((std::uint64_t{1} << 50U) - 1U)) << 2U;
  const double x = 2.0 * std::bit_cast<double>(rest | std::bit_cast<std::uint64_t>(1.0)) - 3.0;
  return power_sum(pieces[index], x);
}

PreparedChain::PreparedChain(const Chain& chain) : chain_(chain) {
  std::array<double, 3> v = chain.stirred_l;
  std::sort(v.begin(), v.end(), std::greater<>());
  const auto n = static_cast<std::size_t>(
      std::count_if(v.begin(), v.end(), [](double volume) { return volume > 0.0; }));
  constexpr double apart = 2e-6;
  for (std::size_t i = 0; i + 1 < n; ++i) {
    const double sum = v[i] + v[i + 1];
    if (v[i] - v[i + 1] >= 2.0 * apart * sum) continue;
    v[i] = sum * (0.5 + apart);
    v[i + 1] = sum * (0.5 - apart);
  }
  for (std::size_t i = 0; i < n; ++i) {
    double weight = 1.0;
    for (std::size_t j = 0; j < n; ++j) {
      if (j != i) weight *= v[i] / (v[i] - v[j]);
    }
    hard_ = hard_ || !(std::abs(weight) < 1e6);
    weight_[i] = weight;
    rate_[i] = 1.0 / v[i];
    shift_[i] = 0.5 * chain.pipe_l / v[i];
    at_pipe_[i] = chain.pipe == Pipe::laminar ? pipe_function(shift_[i]) : 0.0;
  }
  count_ = static_cast<int>(n);
}

// Each stirred volume with the pipe before it, S_i, empties at its own rate: S_i' = 2ρ²/q −
// S_i/V_i, and Σ A_i = 1.
PreparedChain::Remaining PreparedChain::remaining(double q) const {
  Remaining left{0.0, 0.0, 0.0};
  const auto n = static_cast<std::size_t>(count_);
  const auto add = [&](std::size_t i, double share) {
    left.share += weight_[i] * share;
    left.slope -= weight_[i] * rate_[i] * share;
    left.bend += weight_[i] * rate_[i] * rate_[i] * share;
  };
  const bool pipe = chain_.pipe_l > 0.0;
  if (!pipe || chain_.pipe == Pipe::plug) {
    const double past = q - chain_.pipe_l;
    if (n == 0) return {past >= 0.0 ? 0.0 : 1.0, 0.0, 0.0};
    if (past <= 0.0) return {1.0, 0.0, 0.0};
    for (std::size_t i = 0; i < n; ++i) add(i, std::exp(-past * rate_[i]));
    return left;
  }
  if (q <= 0.5 * chain_.pipe_l) return {1.0, 0.0, 0.0};
  const double ratio = 0.5 * chain_.pipe_l / q;
  const double square = ratio * ratio;
  double rates = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    const double y = q * rate_[i];
    add(i, square * pipe_function(y) - std::exp(shift_[i] - y) * at_pipe_[i]);
    rates += weight_[i] * rate_[i];
  }
  return {square + left.share, left.slope, left.bend - 2.0 * square / q * rates};
}

double PreparedChain::cdf(double q_l) const {
  if (!(q_l >= 0.0)) return 0.0;
  if (std::isinf(q_l)) return 1.0;
  if (hard_) return residence_cdf(chain_, q_l);
  return std::clamp(1.0 - remaining(q_l).share, 0.0, 1.0);
}

double PreparedChain::quantile(double share) const {
  if (!(share > cdf(0.0))) return 0.0;
  if (share >= 1.0) return k_infinity;
  if (count_ == 0) {
    return chain_.pipe == Pipe::plug ? chain_.pipe_l : 0.5 * chain_.pipe_l / std::sqrt(1.0 - share);
  }
  const double low = chain_.pipe == Pipe::plug ? chain_.pipe_l : 0.5 * chain_.pipe_l;
  const double high = std::max(residence_mean(chain_), 2.0 * low);
  return hard_ ? quantile_by_search(share, low, high) : quantile_by_steps(share, low, high);
}

/// Halley's steps for the logarithm of what remains, which in the end falls evenly; halves of the
/// bracket where they lead out of it.
double PreparedChain::quantile_by_steps(double share, double low, double first) const {
  const double wanted = std::log1p(-share);
  const double begin = low;
  double high = k_infinity;
  double q = first;
  for (int steps = 0; steps < 200; ++steps) {
    const Remaining left = remaining(q);
    const double off = std::log(std::max(left.share, 1e-300)) - wanted;
    (off > 0.0 ? low : high) = q;
    const double slope = left.slope / left.share;
    const double newton = -off / slope;
    const double bend = left.bend / left.share - slope * slope;
    double next = q + newton / std::max(0.5, 1.0 + 0.5 * newton * bend / slope);
    const double moved = std::abs(next - q);
    // What is off after a step goes with its cube, on the scale of what has passed from the begin.
    const bool near = moved <= std::max(1e-5 * (q - begin), 1e-11 * q);
    if (near && next >= low && next <= high) return next;
    if (!(next > low && next < high)) next = std::isinf(high) ? 2.0 * q : 0.5 * (low + high);
    if (high - low <= 1e-10 * low) break;
    q = next;
  }
  return q;
}

double PreparedChain::quantile_by_search(double share, double low, double high) const {
  const auto excess = [&](double q) { return cdf(q) - share; };
  double at_low = excess(low);
  double at_high = excess(high);
  while (at_high < 0.0 && high < 1e300) {
    low = high;
    at_low = at_high;
    high *= 2.0;
    at_high = excess(high);
  }
  if (at_low >= 0.0) return low;
  if (at_high <= 0.0) return high;
  const auto close = [](double a, double b) { return b - a <= 1e-10 * b; };
  std::uintmax_t steps = 60;
  const auto [from, to] =
      boost::math::tools::toms748_solve(excess, low, high, at_low, at_high, close, steps);
  return 0.5 * (from + to);
}

double renewed_share(const PreparedChain& chain, double volume_l, double q_l) {
  if (!(volume_l > 0.0) || std::isinf(q_l)) return 1.0;
  constexpr int k_steps = 64;
  const bool early = q_l < volume_l;
  double sum = 0.0;
  for (int i = 0; i < k_steps; ++i) {
    const double w = (i + 0.5) / k_steps;
    // Of the later side by w = q/s, which makes a flat one of the pipe's slow end.
    sum += early ? 1.0 - chain.cdf(q_l * w) : (1.0 - chain.cdf(q_l / w)) / (w * w);
  }
  const double side = std::clamp(sum * q_l / (k_steps * volume_l), 0.0, 1.0);
  return early ? side : 1.0 - side;
}

void residence_cdf(std::span<const PreparedChain> chains, std::span<const double> q_l,
                   std::span<double> f) {
  for (std::size_t i = 0; i < f.size(); ++i) f[i] = chains[i].cdf(q_l[i]);
}

}  // namespace blendrisk::models
