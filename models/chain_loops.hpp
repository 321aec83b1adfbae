#pragma once

#include <cstddef>

/// The loops over cases of ChainBatch. Arrays of n numbers, which do not overlap but where they are
/// the same.
namespace blendrisk::models::loops {

/// What follows from the three stirred volumes of each case, in falling order and those that are
/// nearly equal set apart: A_i and 1/V_i, both 0 where there is no such volume.
/// @param stirred, weight, rate  three columns each
/// @return whether a weight is so large that digits are lost
bool stirred_parts(const double* const* stirred, double* const* weight, double* const* rate,
                   std::size_t n);

/// y = factor × rate.
void places(const double* factor, const double* rate, double* y, std::size_t n);

/// ρ² of the laminar pipe, ρ = V/2q.
void ratios(const double* q, const double* begin, double* square, std::size_t n);

/// Adds what one stirred volume, the pipe before it, keeps: A_i (ρ² h(q/V_i) − e^{(V/2 − q)/V_i}
/// h(V/2V_i)).
/// @param first  sets `left` to that
void add_volume(bool first, const double* weight, const double* rate, const double* at_pipe,
                const double* begin, const double* q, const double* square, const double* h,
                double* left, std::size_t n);

/// The same with the first two derivatives of what is left, as a change of q moves them: each
/// stirred volume with the pipe before it, S_i, empties at its own rate: S_i' = 2ρ²/q − S_i/V_i,
/// and Σ A_i = 1. Adds A_i/V_i to `rates`, too.
void add_moving_volume(bool first, const double* weight, const double* rate, const double* at_pipe,
                       const double* begin, const double* q, const double* square, const double* h,
                       double* left, double* slope, double* bend, double* rates, std::size_t n);
/// The pipe's own part of these.
void add_moving_pipe(const double* square, const double* q, const double* rates, double* left,
                     double* bend, std::size_t n);

/// f = 1 − what remains, from `begin` on.
void shares(const double* left, const double* square, const double* q, const double* begin,
            const double* rate, double* f, std::size_t n);

/// Where to begin a search for a quantile: of two or three volumes alike it lies near 0.27 − 0.73
/// ln(1 − F) of the mean, each from `begin` on (our own look at a few chains).
/// @param wanted  1 − F, becomes ln of it
/// @param q       the mean from `begin` on, becomes the first volume to be tried
void start(const double* begin, double* wanted, double* q, std::size_t n);

/// Halley's step for the logarithm of what is left, which in the end falls evenly; halves of the
/// bracket where it leads out of it.
/// @param wanted  ln of what is to be left
/// @param done    1 where q has become the quantile
void step(const double* wanted, const double* begin, const double* left, const double* slope,
          const double* bend, double* low, double* high, double* q, double* done, std::size_t n);

}  // namespace blendrisk::models::loops
