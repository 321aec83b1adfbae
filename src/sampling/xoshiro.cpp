#include "sampling/xoshiro.hpp"

#include <bit>
#include <cassert>

#include "numeric/target_clones.hpp"
#include "sampling/random_streams.hpp"

namespace blendrisk::sampling {
namespace {

constexpr std::size_t k_lanes = Xoshiro::k_lanes;

BLENDRISK_CLONES void fill_lanes(std::array<std::uint64_t, k_lanes>* state, double* u,
                                 std::size_t n) {
  std::array<std::uint64_t, k_lanes> a = state[0];
  std::array<std::uint64_t, k_lanes> b = state[1];
  std::array<std::uint64_t, k_lanes> c = state[2];
  std::array<std::uint64_t, k_lanes> d = state[3];
  for (std::size_t i = 0; i < n; i += k_lanes) {
    for (std::size_t k = 0; k < k_lanes; ++k) {
      const std::uint64_t total = a[k] + d[k];
      const std::uint64_t result = ((total << 23U) | (total >> 41U)) + a[k];
      const std::uint64_t t = b[k] << 17U;
      c[k] ^= a[k];
      d[k] ^= b[k];
      b[k] ^= c[k];
      a[k] ^= d[k];
      c[k] ^= t;
      d[k] = (d[k] << 45U) | (d[k] >> 19U);
      // 52 bits as the mantissa of a number in [1, 2): a conversion that vectorises everywhere.
      u[i + k] = std::bit_cast<double>((result >> 12U) | 0x3ff0000000000000ULL) - (1.0 - 0x1p-53);
    }
  }
  state[0] = a;
  state[1] = b;
  state[2] = c;
  state[3] = d;
}

}  // namespace

Xoshiro::Xoshiro(std::uint64_t key) {
  std::uint64_t counter = key;
  for (std::size_t k = 0; k < k_lanes; ++k) {
    for (auto& word : state_) {
      word[k] = mixed(counter);
      counter += 0x9e3779b97f4a7c15ULL;
    }
  }
}

void Xoshiro::fill(std::span<double> u) {
  assert(u.size() % k_lanes == 0);
  fill_lanes(state_.data(), u.data(), u.size());
}

}  // namespace blendrisk::sampling
