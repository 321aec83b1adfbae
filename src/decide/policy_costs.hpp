#pragma once

#include "decide/policy.hpp"

namespace blendrisk::decide {

/// The least of fuel + cost × misses over accepted risks of two digits within those given, by
/// monotone cubic interpolation of the fuel's cost and of the logarithm of the misses in that of
/// the risk (F. N. Fritsch, R. E. Carlson, SIAM Journal on Numerical Analysis 17, 1980; from
/// memory; Boost.Math's pchip).
/// @param risks  falling, four at least; fuel and misses as long, misses > 0
LeastCost least_cost(std::span<const double> risks, std::span<const double> fuel,
                     std::span<const double> misses, double cost_of_miss);

/// Accepted risks of two digits from 0.01 % to 10 %, by rising numbers.
inline constexpr int k_last_risk = 270;
double risk_of_two_digits(int number);

}  // namespace blendrisk::decide
