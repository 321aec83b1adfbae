#pragma once

#include <array>
#include <cstddef>

/// Old fuel leaving the line from tank to injectors, in burned (pumped) volume q, not time: then it
/// holds for any driving. A place whose fuel has the residence volume's distribution function F
/// holds, after q, old + (new − old) F(q).
namespace blendrisk::models {

enum class Pipe { plug, laminar };

/// The volumes up to a place [L], each >= 0: stirred ones (reservoir, filter, beyond the sensor)
/// and the pipe, in any order, since residences add.
struct Chain {
  std::array<double, 3> stirred_l{};
  double pipe_l = 0.0;
  Pipe pipe = Pipe::laminar;
};

/// 1 − F of stirred volumes in series, the hypoexponential law: P(sum of exponential residences
/// with means V_i > q). Volumes may be equal, nearly equal or 0. With a = −q/V_1, b = −q/V_2,
/// c = −q/V_3 it is e^a + (q/V_1) exp[a, b] + (q/V_1)(q/V_2) exp[a, b, c], exp[...] the divided
/// differences of the exponential, which stay accurate where arguments meet. Relative error below
/// 1e-13.
/// @param q_l pumped volume [L]; 1 for q <= 0 where some volume is positive, 0 for q >= 0 where
/// none is
double stirred_remaining(const std::array<double, 3>& volumes_l, double q_l);

/// F(q) of the chain: the stirred part convolved with the pipe's law,
///   plug flow     F = 1 for q >= V,
///   laminar flow  F = 1 − (V/2q)² for q >= V/2, without radial mixing,
/// by Gauss–Legendre quadrature over the flow-weighted fraction u that leaves after V/(2 √(1 − u)).
/// Levenspiel, Chemical Reaction Engineering (from memory). Absolute error below 1e-11.
/// @param q_l pumped volume [L]; 0 for q < 0
double residence_cdf(const Chain& chain, double q_l);

/// Mean residence volume: the volumes' sum, for either law of the pipe.
double residence_mean(const Chain& chain);

}  // namespace blendrisk::models
