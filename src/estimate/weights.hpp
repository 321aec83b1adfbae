#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <vector>

/// What weighted points are worth, and which are nearest to an event that none may have met.
namespace blendrisk::estimate {

/// Σ w and Σ w² of weights.
struct Mass {
  double sum = 0.0, squares = 0.0;

  void add(double w) {
    sum += w;
    squares += w * w;
  }
  /// (Σ w)² / Σ w²: so many points of one weight would tell as much (L. Kish, Survey Sampling,
  /// 1965; from memory). Not a number where all weights are 0.
  double effective() const { return sum * sum / squares; }
};

Mass mass_of(std::span<const double> weights);

/// The numbers of `count` points chosen in proportion to weights that are not all 0, systematically
/// and in their order; a heavy one more than once (J. Carpenter, P. Clifford, P. Fearnhead, IEE
/// Proceedings F 146, 1999; from memory).
std::vector<std::size_t> resampled(std::span<const double> weights, std::size_t count);

struct Weighted {
  double value, weight;
};

Mass mass_of(const std::vector<Weighted>& values);

struct Moments {
  double mean, standard_deviation;
};
/// Of values whose weights are not all 0; about one of them, so that no digits are lost.
Moments moments_of(const std::vector<Weighted>& values);

/// By value.
void sort(std::vector<Weighted>& values);

/// The smallest value at or below which the share `order` of the weight lies.
double quantile_of(const std::vector<Weighted>& sorted, double order);

/// Those at k_quantile_orders; sorts the values.
std::array<double, 5> quantiles_of(std::vector<Weighted>& values);

/// The numbers of the `count` points with the largest limit state, the largest first; of equal ones
/// those of smaller number. @param count  at most limit_state.size()
std::vector<std::size_t> nearest(std::span<const double> limit_state, std::size_t count);

}  // namespace blendrisk::estimate
