#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

/// Sobol' points, scrambled. Points are addressed by index in natural (not Gray code) order, the
/// zero point included; direction numbers are Joe and Kuo's, see sobol_start.hpp.
namespace blendrisk::sampling {

/// The most dimensions that points have here: two for each input of a landing with nine fills, and
/// room for more inputs.
inline constexpr std::size_t k_max_dimensions = 128;

/// Unscrambled coordinate of point `index` as a 32-bit binary fraction.
/// @param dimension < k_max_dimensions
std::uint32_t sobol_bits(std::uint32_t index, std::size_t dimension);

/// One dimension of points first .. first + x.size() − 1, unscrambled, as binary fractions with
/// the first digit lowest: what scramble() works on.
void sobol_digits(std::uint32_t first, std::size_t dimension, std::span<std::uint32_t> x);

/// u[i] in (0, 1) from such digits, scrambled by `key`: nested uniform (Owen) scrambling by hashing
/// (Laine and Karras, Computer Graphics Forum 30, 2011; Burley, JCGT 9(4), 2020), then a random
/// digital shift, which makes every single point exactly uniform. Any block of 2^m points starting
/// at a multiple of 2^m keeps the net's equidistribution.
void scramble(std::span<const std::uint32_t> x, std::uint64_t key, std::span<double> u);

/// Both in one: points first .. first + u.size() − 1 of one dimension.
void scrambled_sobol(std::uint32_t first, std::size_t dimension, std::uint64_t key,
                     std::span<double> u);

}  // namespace blendrisk::sampling
