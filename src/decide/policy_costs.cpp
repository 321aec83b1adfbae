#include "decide/policy_costs.hpp"

// pchip.hpp of Boost 1.74 asks for ::isnan.
#include <math.h>

#include <algorithm>
#include <array>
#include <boost/math/interpolators/pchip.hpp>
#include <boost/math/special_functions/fpclassify.hpp>  // which pchip.hpp uses
#include <cmath>

namespace blendrisk::decide {
namespace {

using Curve = boost::math::interpolators::pchip<std::vector<double>>;

/// Over the logarithms of the risks, rising.
Curve curve_of(std::span<const double> risks, std::span<const double> values, bool logarithm) {
  std::vector<double> x, y;
  for (std::size_t i = risks.size(); i-- > 0;) {
    x.push_back(std::log(risks[i]));
    y.push_back(logarithm ? std::log(values[i]) : values[i]);
  }
  return {std::move(x), std::move(y)};
}

}  // namespace

double risk_of_two_digits(int number) {
  constexpr int k_in_decade = 90;
  constexpr std::array<double, 4> k_units{1e5, 1e4, 1e3, 1e2};
  const int decade = number / k_in_decade;
  return (10 + number % k_in_decade) / k_units[static_cast<std::size_t>(decade)];
}

LeastCost least_cost(std::span<const double> risks, std::span<const double> fuel,
                     std::span<const double> misses, double cost_of_miss) {
  const Curve fuel_at = curve_of(risks, fuel, false);
  const Curve misses_at = curve_of(risks, misses, true);
  const double lowest = std::log(risks.back());
  const double highest = std::log(risks.front());
  std::vector<double> tried, totals;
  for (int number = 0; number <= k_last_risk; ++number) {
    const double risk = risk_of_two_digits(number);
    const double x = std::log(risk);
    if (x < lowest - 1e-9 || x > highest + 1e-9) continue;
    const double at = std::clamp(x, lowest, highest);
    tried.push_back(risk);
    totals.push_back(fuel_at(at) + cost_of_miss * std::exp(misses_at(at)));
  }
  const auto least = std::ranges::min_element(totals) - totals.begin();
  const double most = totals[static_cast<std::size_t>(least)] +
                      k_flat * std::abs(totals[static_cast<std::size_t>(least)]);
  auto low = static_cast<std::size_t>(least);
  auto high = low;
  while (low > 0 && totals[low - 1] <= most) --low;
  while (high + 1 < totals.size() && totals[high + 1] <= most) ++high;
  const auto at = static_cast<std::size_t>(least);
  return {cost_of_miss, tried[at], tried[low], tried[high], at == 0 || at + 1 == tried.size()};
}

}  // namespace blendrisk::decide
