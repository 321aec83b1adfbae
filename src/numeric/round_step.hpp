#pragma once

#include <cmath>
#include <initializer_list>

namespace blendrisk::numeric {

/// The least round number from `about` > 0 on: 1, 2 or 5, or `nice`, times a power of ten.
inline double round_step(double about, std::initializer_list<double> nice = {1.0, 2.0, 5.0}) {
  const double decade = std::pow(10.0, std::floor(std::log10(about)));
  for (const double one : nice) {
    if (about <= one * decade * (1.0 + 1e-9)) return one * decade;
  }
  return 10.0 * decade;
}

}  // namespace blendrisk::numeric
