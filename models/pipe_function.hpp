#pragma once

#include <span>

/// What a laminar pipe before a stirred volume takes of the exponential integral.
namespace blendrisk::models {

/// s² (e^{−s} Ei(s)) − s − 1 for s > 0, Ei the exponential integral (Abramowitz and Stegun,
/// 5.1.2): −1 at 0, about 2/s for large s. Absolute error below 1e-14.
double pipe_function(double s);

/// h[i] = pipe_function(s[i]); spans of one length that do not overlap.
void pipe_function(std::span<const double> s, std::span<double> h);

}  // namespace blendrisk::models
