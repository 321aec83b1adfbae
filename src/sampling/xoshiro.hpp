#pragma once

#include <array>
#include <cstdint>
#include <span>

namespace blendrisk::sampling {

/// Pseudo-random uniforms: eight interleaved xoshiro256++ generators (Blackman and Vigna, ACM TOMS
/// 47, 2021), seeded from one key through SplitMix64; vectorised. Draws: one a number.
class Xoshiro {
 public:
  static constexpr std::size_t k_lanes = 8;
  explicit Xoshiro(std::uint64_t key);

  /// The next u.size() uniforms in (0, 1), multiples of 2⁻⁵² plus 2⁻⁵³; the length is a multiple
  /// of k_lanes.
  void fill(std::span<double> u);

 private:
  std::array<std::array<std::uint64_t, k_lanes>, 4> state_{};
};

}  // namespace blendrisk::sampling
