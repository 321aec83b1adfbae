#pragma once

#include <array>
#include <string>
#include <utility>

namespace blendrisk::learn {

/// One number that was fitted, in litres, fractions or litres per second.
struct Fitted {
  std::string key;  ///< "line.filter"; empty for the levels
  double value = 0.0;
  double standard_error = 0.0;
  std::array<double, 2> interval_95{};  ///< Student's t
  bool determined = true;
  std::string reason;  ///< why it is not
};

/// @param t  Student's, of the 95 % interval
inline Fitted fitted(std::string key, double value, double error, double t) {
  return {std::move(key), value, error, {value - t * error, value + t * error}, true, {}};
}

}  // namespace blendrisk::learn
