#pragma once

#include <cmath>
#include <optional>

#include "decide/variants.hpp"
#include "numeric/solve.hpp"

namespace blendrisk::decide {

/// The value nearest to `from` that will do, on steps of a display towards `to`, which is tried
/// last: steps that double until one does, then halves of the last.
/// @param within  (value) whether it will
template <class Within>
std::optional<double> nearest_within(double from, double to, double step, const Within& within) {
  if (within(from)) return from;
  const double steps = std::ceil(std::abs(to - from) / step);
  const auto at = [&](double k) {
    if (k >= steps) return to;
    return to > from ? rounded_up(from + k * step, step) : rounded_down(from - k * step, step);
  };
  double bad = 0.0;
  double good = 1.0;
  while (good < steps && !within(at(good))) {
    bad = good;
    good *= 2.0;
  }
  if (good >= steps) {
    good = steps;
    if (good <= bad || !within(at(good))) return {};
  }
  return at(static_cast<double>(
      numeric::first_step(static_cast<long>(bad), static_cast<long>(good),
                          [&](long k) { return within(at(static_cast<double>(k))); })));
}

}  // namespace blendrisk::decide
