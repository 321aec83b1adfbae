#include "sampling/sobol.hpp"

#include <algorithm>
#include <array>
#include <bit>

#include "numeric/target_clones.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/sobol_start.hpp"

namespace blendrisk::sampling {
namespace {

constexpr std::size_t k_bits = 32;
using Directions = std::array<std::array<std::uint32_t, k_bits>, k_max_dimensions>;

std::uint32_t reversed(std::uint32_t x) {
  std::uint32_t r = 0;
  for (std::size_t bit = 0; bit < k_bits; ++bit) r |= ((x >> bit) & 1U) << (k_bits - 1 - bit);
  return r;
}

// Bratley and Fox, ACM TOMS 14, 88 (1988), section 2: m_k from those before it, and the direction
// number m_k / 2^(k + 1). Kept bit-reversed, as the hash below works from the first binary digit
// up.
Directions reversed_directions() {
  Directions table{};
  for (std::size_t d = 0; d < k_max_dimensions; ++d) {
    std::array<std::uint32_t, k_bits> m{};
    m.fill(1);
    if (d > 0) {
      const SobolStart& start = k_sobol_starts[d - 1];
      const auto degree = static_cast<std::size_t>(std::bit_width(start.polynomial)) - 1;
      std::copy_n(start.m.begin(), degree, m.begin());
      for (std::size_t k = degree; k < k_bits; ++k) {
        m[k] = m[k - degree];
        for (std::size_t back = 1; back <= degree; ++back) {
          if (((start.polynomial >> (degree - back)) & 1U) != 0U) m[k] ^= m[k - back] << back;
        }
      }
    }
    for (std::size_t k = 0; k < k_bits; ++k) table[d][k] = reversed(m[k] << (k_bits - 1 - k));
  }
  return table;
}

const Directions& directions() {
  static const Directions table = reversed_directions();
  return table;
}

BLENDRISK_LANE std::uint32_t reverse_lane(std::uint32_t x) {
  x = ((x >> 1U) & 0x55555555U) | ((x & 0x55555555U) << 1U);
  x = ((x >> 2U) & 0x33333333U) | ((x & 0x33333333U) << 2U);
  x = ((x >> 4U) & 0x0f0f0f0fU) | ((x & 0x0f0f0f0fU) << 4U);
  x = ((x >> 8U) & 0x00ff00ffU) | ((x & 0x00ff00ffU) << 8U);
  return (x >> 16U) | (x << 16U);
}

// Every step lets a bit depend on itself and lower bits only: a nested permutation of the
// reversed digits. The steps and the three constants are those of the final hash in the published
// article "Building a better LK hash" (psychopath.io, 30 January 2021, updated 8 May 2021).
BLENDRISK_CLONES void scramble_loop(const std::uint32_t* point, std::uint32_t seed,
                                    std::uint32_t shift, double* u, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    std::uint32_t x = point[i];
    x ^= x * 0x3d20adeaU;
    x += seed;
    x *= (seed >> 16U) | 1U;
    x ^= x * 0x05526c56U;
    x ^= x * 0x53a22864U;
    x = reverse_lane(x) ^ shift;
    u[i] = (static_cast<double>(x) + 0.5) * 0x1p-32;
  }
}

}  // namespace

std::uint32_t sobol_bits(std::uint32_t index, std::size_t dimension) {
  const auto& v = directions()[dimension];
  std::uint32_t x = 0;
  for (std::size_t k = 0; index >> k != 0; ++k) {
    if (((index >> k) & 1U) != 0U) x ^= v[k];
    if (k + 1 == k_bits) break;
  }
  return reversed(x);
}

void sobol_digits(std::uint32_t first, std::size_t dimension, std::span<std::uint32_t> x) {
  if (x.empty()) return;
  const auto& v = directions()[dimension];
  const auto point = [&v](std::uint32_t index) {
    std::uint32_t digits = 0;
    for (std::size_t k = 0; k < k_bits; ++k) {
      if (((index >> k) & 1U) != 0U) digits ^= v[k];
    }
    return digits;
  };
  x[0] = point(first);
  // By doubling, as far as the low bits of `first` are zero.
  const auto zeros = static_cast<std::size_t>(first == 0 ? 31 : std::countr_zero(first));
  std::size_t filled = 1;
  for (std::size_t k = 0; filled < x.size() && k < zeros; ++k, filled *= 2) {
    const std::size_t more = std::min(filled, x.size() - filled);
    for (std::size_t i = 0; i < more; ++i) x[filled + i] = x[i] ^ v[k];
  }
  for (std::size_t i = std::min(filled, x.size()); i < x.size(); ++i) {
    x[i] = point(first + static_cast<std::uint32_t>(i));
  }
}

void scramble(std::span<const std::uint32_t> x, std::uint64_t key, std::span<double> u) {
  const std::uint64_t bits = mixed(key);
  scramble_loop(x.data(), static_cast<std::uint32_t>(bits), static_cast<std::uint32_t>(bits >> 32U),
                u.data(), x.size());
}

void scrambled_sobol(std::uint32_t first, std::size_t dimension, std::uint64_t key,
                     std::span<double> u) {
  constexpr std::size_t k_digits = 1024;
  std::array<std::uint32_t, k_digits> digits;  // NOLINT: written before it is read
  for (std::size_t from = 0; from < u.size(); from += k_digits) {
    const std::span<std::uint32_t> part(digits.data(), std::min(k_digits, u.size() - from));
    sobol_digits(first + static_cast<std::uint32_t>(from), dimension, part);
    scramble(part, key, u.subspan(from, part.size()));
  }
}

}  // namespace blendrisk::sampling
