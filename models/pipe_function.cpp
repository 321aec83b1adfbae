#include "models/pipe_function.hpp"

#include <array>
#include <bit>
#include <boost/math/special_functions/expint.hpp>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "models/chebyshev.hpp"
#include "numeric/target_clones.hpp"

namespace blendrisk::models {
namespace {

// Sixteen pieces of every octave from 2^k_first on.
constexpr int k_first = -10;
constexpr std::size_t k_octaves = 23;
constexpr std::size_t k_pieces = 16 * k_octaves;
constexpr std::size_t k_terms = 8;  // one line of the cache
constexpr double k_low = 0x1p-10;
constexpr double k_high = 0x1p13;
static_assert(k_first == -10 && k_octaves == 23);
struct alignas(64) Piece {
  std::array<double, k_terms> power;
};
using Pieces = std::array<Piece, k_pieces>;

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
Pieces make_pieces() {
  Pieces pieces{};
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const Wide octave = std::ldexp(Wide{1}, k_first + static_cast<int>(i / 16));
    const Wide low = octave * (1.0 + 0.0625 * static_cast<Wide>(i % 16));
    const Wide half = 0.03125 * octave;
    pieces[i].power = powers_of(chebyshev_coefficients<Wide, k_terms>(
        [&](Wide x) { return pipe_function_slowly(low + half * (1.0 + x)); }));
  }
  return pieces;
}

const Pieces& all_pieces() {
  static const Pieces pieces = make_pieces();
  return pieces;
}

double near_series(double s) {
  const double ei = std::numbers::egamma + std::log(s) + s * (1.0 + s * (0.25 + s / 18.0));
  return s * s * std::exp(-s) * ei - s - 1.0;
}

/// Beyond all pieces.
double outside_pieces(double s) {
  if (!(s > 0.0)) return -1.0;
  if (s < k_low) return near_series(s);
  return 2.0 / s * (1.0 + 3.0 / s * (1.0 + 4.0 / s * (1.0 + 5.0 / s)));
}

/// For s from k_low to k_high. The exponent and the first four digits after the point number the
/// piece; the rest of the digits are the place in it.
BLENDRISK_LANE double in_piece(const Piece* pieces, double s) {
  const auto bits = std::bit_cast<std::uint64_t>(s);
  constexpr std::uint64_t first = std::uint64_t{16} * (1023 + k_first);
  const std::uint64_t rest = (bits & ((std::uint64_t{1} << 48U) - 1U)) << 4U;
  const double x = 2.0 * std::bit_cast<double>(rest | std::bit_cast<std::uint64_t>(1.0)) - 3.0;
  return power_sum(pieces[(bits >> 48U) - first].power, x);
}

BLENDRISK_CLONES void piece_loop(const Piece* pieces, const double* s, double* h, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double at_least = s[i] > k_low ? s[i] : k_low;
    h[i] = in_piece(pieces, at_least < k_high ? at_least : k_low);
  }
}

}  // namespace

double pipe_function(double s) {
  return s >= k_low && s < k_high ? in_piece(all_pieces().data(), s) : outside_pieces(s);
}

void pipe_function(std::span<const double> s, std::span<double> h) {
  piece_loop(all_pieces().data(), s.data(), h.data(), s.size());
  for (std::size_t i = 0; i < s.size(); ++i) {
    if (!(s[i] >= k_low && s[i] < k_high)) h[i] = outside_pieces(s[i]);
  }
}

}  // namespace blendrisk::models
