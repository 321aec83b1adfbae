#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

/// Chebyshev interpolation of a smooth function on a short piece.
namespace blendrisk::models {

/// Coefficients c of f(x) ≈ Σ c_k T_k(x) on [−1, 1], by the cosine sum at the Chebyshev points.
/// @tparam Real  in which f is evaluated and summed
template <class Real, std::size_t N, class F>
std::array<double, N> chebyshev_coefficients(const F& f) {
  constexpr auto n = static_cast<Real>(N);
  constexpr Real pi = std::numbers::pi_v<Real>;
  constexpr Real half = Real(1) / Real(2);
  std::array<Real, N> value{};
  for (std::size_t j = 0; j < N; ++j) {
    value[j] = f(std::cos(pi * (static_cast<Real>(j) + half) / n));
  }
  std::array<double, N> c{};
  for (std::size_t k = 0; k < N; ++k) {
    Real sum = 0;
    for (std::size_t j = 0; j < N; ++j) {
      sum += value[j] * std::cos(pi * static_cast<Real>(k) * (static_cast<Real>(j) + half) / n);
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

}  // namespace blendrisk::models
