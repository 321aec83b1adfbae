#include "estimate/weights.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "estimate/result.hpp"

namespace blendrisk::estimate {

Mass mass_of(std::span<const double> weights) {
  Mass mass;
  for (const double w : weights) mass.add(w);
  return mass;
}

Mass mass_of(const std::vector<Weighted>& values) {
  Mass mass;
  for (const Weighted& one : values) mass.add(one.weight);
  return mass;
}

std::vector<std::size_t> resampled(std::span<const double> weights, std::size_t count) {
  const double each = mass_of(weights).sum / static_cast<double>(count);
  std::vector<std::size_t> chosen;
  chosen.reserve(count);
  double below = 0.0;
  for (std::size_t i = 0; i < weights.size(); ++i) {
    below += weights[i];
    while (chosen.size() < count && (static_cast<double>(chosen.size()) + 0.5) * each < below) {
      chosen.push_back(i);
    }
  }
  return chosen;
}

Moments moments_of(const std::vector<Weighted>& values) {
  const double about = values.front().value;
  double weight = 0.0;
  double sum = 0.0;
  for (const Weighted& one : values) {
    weight += one.weight;
    sum += one.weight * (one.value - about);
  }
  const double mean = about + sum / weight;
  double squares = 0.0;
  for (const Weighted& one : values) {
    squares += one.weight * (one.value - mean) * (one.value - mean);
  }
  return {mean, std::sqrt(squares / weight)};
}

void sort(std::vector<Weighted>& values) {
  std::sort(values.begin(), values.end(),
            [](const Weighted& a, const Weighted& b) { return a.value < b.value; });
}

double quantile_of(const std::vector<Weighted>& sorted, double order) {
  double all = 0.0;
  for (const Weighted& one : sorted) all += one.weight;
  double sum = 0.0;
  for (const Weighted& one : sorted) {
    sum += one.weight;
    if (sum >= order * all) return one.value;
  }
  return sorted.back().value;
}

std::array<double, 5> quantiles_of(std::vector<Weighted>& values) {
  sort(values);
  std::array<double, 5> quantiles{};
  for (std::size_t i = 0; i < quantiles.size(); ++i) {
    quantiles[i] = quantile_of(values, k_quantile_orders[i]);
  }
  return quantiles;
}

std::vector<std::size_t> nearest(std::span<const double> limit_state, std::size_t count) {
  std::vector<std::size_t> order(limit_state.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto nearer = [&](std::size_t a, std::size_t b) {
    const double x = limit_state[a];
    const double y = limit_state[b];
    return x > y || (x == y && a < b);
  };
  const auto last = order.begin() + static_cast<std::ptrdiff_t>(count);
  std::partial_sort(order.begin(), last, order.end(), nearer);
  order.erase(last, order.end());
  return order;
}

}  // namespace blendrisk::estimate
