#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "numeric/target_clones.hpp"

/// Chebyshev interpolation of a smooth function on a short piece.
namespace blendrisk::models {

/// cos(π k (j + ½)/N), row by row of k.
template <class Real, std::size_t N>
const std::array<std::array<Real, N>, N>& chebyshev_cosines() {
  static const auto cosines = [] {
    std::array<std::array<Real, N>, N> all{};
    for (std::size_t k = 0; k < N; ++k) {
      for (std::size_t j = 0; j < N; ++j) {
        all[k][j] = std::cos(std::numbers::pi_v<Real> * static_cast<Real>(k) *
                             (static_cast<Real>(j) + Real(1) / Real(2)) / static_cast<Real>(N));
      }
    }
    return all;
  }();
  return cosines;
}

/// Coefficients c of f(x) ≈ Σ c_k T_k(x) on [−1, 1], by the cosine sum at the Chebyshev points.
/// @tparam Real  in which f is evaluated and summed
template <class Real, std::size_t N, class F>
std::array<double, N> chebyshev_coefficients(const F& f) {
  constexpr auto n = static_cast<Real>(N);
  const auto& cosines = chebyshev_cosines<Real, N>();
  std::array<Real, N> value{};
  for (std::size_t j = 0; j < N; ++j) value[j] = f(cosines[1][j]);
  std::array<double, N> c{};
  for (std::size_t k = 0; k < N; ++k) {
    Real sum = 0;
    for (std::size_t j = 0; j < N; ++j) {
      sum += value[j] * cosines[k][j];
    }
    c[k] = static_cast<double>((k == 0 ? Real(1) : Real(2)) * sum / n);
  }
  return c;
}

/// Σ c_k T_k(x), by Clenshaw's recurrence.
template <std::size_t N>
double chebyshev_sum(const std::array<double, N>& c, double x) {
  double b1 = 0.0;
  double b2 = 0.0;
  for (std::size_t k = N - 1; k > 0; --k) {
    const double b = 2.0 * x * b1 - b2 + c[k];
    b2 = b1;
    b1 = b;
  }
  return x * b1 - b2 + c[0];
}

/// The same polynomial by powers of x, for pieces so short that the coefficients fall fast.
template <std::size_t N>
std::array<double, N> powers_of(const std::array<double, N>& c) {
  // T_{k+1} = 2 x T_k − T_{k−1}, as rows of powers.
  std::array<double, N> sum{};
  std::array<double, N> before{};
  std::array<double, N> now{};
  now[0] = 1.0;
  for (std::size_t k = 0; k < N; ++k) {
    for (std::size_t i = 0; i < N; ++i) sum[i] += c[k] * now[i];
    std::array<double, N> next{};
    for (std::size_t i = 0; i < N; ++i) {
      next[i] = (i > 0 ? (k == 0 ? 1.0 : 2.0) * now[i - 1] : 0.0) - before[i];
    }
    before = now;
    now = next;
  }
  return sum;
}

/// Σ a_k x^k by pairs and pairs of these, whose products do not wait for one another (Estrin 1960,
/// from memory).
template <std::size_t N>
BLENDRISK_LANE double power_sum(const std::array<double, N>& a, double x) {
  constexpr std::size_t n = (N + 3) / 4;
  const double square = x * x;
  const double fourth = square * square;
  std::array<double, n> part{};
  for (std::size_t i = 0; i < n; ++i) {
    const auto at = [&](std::size_t k) { return 4 * i + k < N ? a[4 * i + k] : 0.0; };
    part[i] = (at(0) + at(1) * x) + (at(2) + at(3) * x) * square;
  }
  double sum = part[n - 1];
  for (std::size_t i = n - 1; i > 0; --i) sum = sum * fourth + part[i - 1];
  return sum;
}

}  // namespace blendrisk::models
