#pragma once

#include <bit>
#include <cstdint>

#include "numeric/target_clones.hpp"

/// Elementary functions of one number, written without branches or calls so that a loop over them
/// vectorises. Accuracy is a few units in the last place on the ranges given; tests compare them
/// with Boost.Math.
namespace blendrisk::numeric::lanes {

/// Adding 1.5·2^52 rounds a small double to an integer and leaves that integer in its low bits.
inline constexpr double k_rounder = 0x1.8p52;

/// Horner's rule, coefficients from the highest power down.
template <class... C>
BLENDRISK_LANE double polynomial(double x, double highest, C... lower) {
  double sum = highest;
  ((sum = sum * x + lower), ...);
  return sum;
}

/// 2^n for n a whole number in [-1022, 1023].
BLENDRISK_LANE double power_of_two(double n) {
  return std::bit_cast<double>(std::bit_cast<std::uint64_t>(n + (k_rounder + 1023.0)) << 52U);
}

/// ln 2 = k_ln_two_high + k_ln_two_low; the first has 40 bits, so that an exponent times it is
/// exact. From tests/numeric/log_fit.py.
inline constexpr double k_ln_two_high = 0x1.62e42fefa4000p-1;
inline constexpr double k_ln_two_low = -0x1.8432a1b0e2634p-43;

/// e^x for x in [-745, 709]: Cody–Waite reduction by ln 2 and the Taylor series to degree 13
/// (remainder below 5e-18 on |r| <= ln 2 / 2). The scale goes in two factors so that results
/// below the smallest normal number come out rounded, not flushed.
BLENDRISK_LANE double exp(double x) {
  const double n = (x * 1.4426950408889634074 + k_rounder) - k_rounder;
  const double r = (x - n * k_ln_two_high) - n * k_ln_two_low;
  const double series =
      polynomial(r, 1.0 / 6227020800, 1.0 / 479001600, 1.0 / 39916800, 1.0 / 3628800, 1.0 / 362880,
                 1.0 / 40320, 1.0 / 5040, 1.0 / 720, 1.0 / 120, 1.0 / 24, 1.0 / 6, 0.5, 1.0, 1.0);
  const double half = (n * 0.5 + k_rounder) - k_rounder;
  return series * power_of_two(half) * power_of_two(n - half);
}

/// ln x for x positive and normal: x = 2^e m with m in [sqrt(1/2), sqrt(2)). With f = m − 1 and
/// s = f/(2 + f), ln m = 2s + s³ Q(s²), the series of the area tangent, and 2s = f − f²/2 + s f²/2,
/// whose first term is exact. Q is a minimax polynomial of our own (Remez; an error of 2e-18 of
/// ln m), from tests/numeric/log_fit.py.
BLENDRISK_LANE double log(double x) {
  constexpr std::uint64_t k_sqrt_half = 0x3fe6a09e667f3bcdULL;
  constexpr std::uint64_t k_one = 0x3ff0000000000000ULL;
  const std::uint64_t shifted = std::bit_cast<std::uint64_t>(x) + (k_one - k_sqrt_half);
  const double exponent =
      std::bit_cast<double>((shifted >> 52U) | 0x4330000000000000ULL) - (0x1p52 + 1023.0);
  const auto mantissa = std::bit_cast<double>((shifted & 0x000fffffffffffffULL) + k_sqrt_half);
  const double f = mantissa - 1.0;
  const double s = f / (2.0 + f);
  const double z = s * s;
  const double half_square = 0.5 * f * f;
  const double rest =
      z * polynomial(z, 0x1.2f0560293ab34p-3, 0x1.39a1bb148b61ep-3, 0x1.74663ee473a19p-3,
                     0x1.c71c520972acfp-3, 0x1.24924941f106ep-2, 0x1.999999997fdbap-2,
                     0x1.5555555555592p-1);
  const double small = s * (half_square + rest) + exponent * k_ln_two_low;
  return exponent * k_ln_two_high + (f - (half_square - small));
}

/// Φ(−y), the upper tail of the standard normal law, for y >= 0; 0 beyond 38.5.
/// e^{y²/2} Φ(−y) (1 + y) is a polynomial in t = (y − 5)/(y + 5), the form of Shepherd and
/// Laframboise (Mathematics of Computation 36, 1981, 249–253); the coefficients are our own
/// Chebyshev fit at 40 digits. y² is split, since its rounding error would be magnified by y²/2.
BLENDRISK_LANE double normal_upper_tail(double y) {
  const double bounded = y < 38.5 ? y : 38.5;
  const double t = (bounded - 5.0) / (bounded + 5.0);
  const double series = polynomial(
      t, -3.9886338590692042761e-10, -2.8233272215141204795e-10, 4.5007253924798637399e-9,
      3.6280682399194864912e-9, -3.1201472111476668925e-8, -2.6287875968778986024e-8,
      1.9663442631364518805e-7, 1.2788049453962610783e-7, -1.3077682743993349491e-6,
      -7.0348369225588772115e-8, 9.0600117163314272724e-6, -9.8960967128844053598e-6,
      -0.000053607652870422451786, 0.00018233414474988365651, 7.7916150957474594659e-6,
      -0.0016760723444742155801, 0.0065220006651192068446, -0.015170415402525145911,
      0.024536963243901848677, -0.026401042966307629647, 0.010002352385220746553,
      0.0310303684259636918, -0.091552281834008936829, 0.46151582985003777295);
  const auto high = std::bit_cast<double>(std::bit_cast<std::uint64_t>(bounded) &
                                          0xfffffffff8000000ULL);  // 26 bits: exact square
  const double low = (bounded - high) * (bounded + high);
  const double tail = series / (1.0 + bounded) * exp(-0.5 * high * high) * exp(-0.5 * low);
  return y < 38.5 ? tail : 0.0;
}

/// Φ(z) for any z that is not NaN.
BLENDRISK_LANE double normal_cdf(double z) {
  const double tail = normal_upper_tail(z < 0.0 ? -z : z);
  return z < 0.0 ? tail : 1.0 - tail;
}

/// Φ⁻¹(0.5 + q) for |q| <= 0.425. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37,
/// 1988, 477–484.
BLENDRISK_LANE double normal_quantile_central(double q) {
  const double r = 0.180625 - q * q;
  return q *
         polynomial(r, 2509.0809287301226727, 33430.575583588128105, 67265.770927008700853,
                    45921.953931549871457, 13731.693765509461125, 1971.5909503065514427,
                    133.14166789178437745, 3.387132872796366608) /
         polynomial(r, 5226.495278852854561, 28729.085735721942674, 39307.89580009271061,
                    21213.794301586595867, 5394.1960214247511077, 687.1870074920579083,
                    42.313330701600911252, 1.0);
}

/// −Φ⁻¹(p) for r = sqrt(−ln p) in [1.6, 5] (same source).
BLENDRISK_LANE double normal_quantile_tail(double r) {
  const double s = r - 1.6;
  return polynomial(s, 7.7454501427834140764e-4, .0227238449892691845833, .24178072517745061177,
                    1.27045825245236838258, 3.64784832476320460504, 5.7694972214606914055,
                    4.6303378461565452959, 1.42343711074968357734) /
         polynomial(s, 1.05075007164441684324e-9, 5.475938084995344946e-4, .0151986665636164571966,
                    .14810397642748007459, .68976733498510000455, 1.6763848301838038494,
                    2.05319162663775882187, 1.0);
}

/// −Φ⁻¹(p) for r = sqrt(−ln p) in [5, 27] (same source).
BLENDRISK_LANE double normal_quantile_far_tail(double r) {
  const double s = r - 5.0;
  return polynomial(s, 2.01033439929228813265e-7, 2.71155556874348757815e-5,
                    .0012426609473880784386, .026532189526576123093, .29656057182850489123,
                    1.7848265399172913358, 5.4637849111641143699, 6.6579046435011037772) /
         polynomial(s, 2.04426310338993978564e-15, 1.4215117583164458887e-7,
                    1.8463183175100546818e-5, 7.868691311456132591e-4, .0148753612908506148525,
                    .13692988092273580531, .59983220655588793769, 1.0);
}

}  // namespace blendrisk::numeric::lanes
