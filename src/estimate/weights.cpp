#include "estimate/weights.hpp"

#include <algorithm>
#include <numeric>

namespace blendrisk::estimate {

Mass mass_of(std::span<const double> weights) {
  Mass mass;
  for (const double w : weights) mass.add(w);
  return mass;
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
