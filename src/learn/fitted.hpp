#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>

namespace blendrisk::learn {

/// Why a volume is not told.
enum class NotTold {
  none_shown,         ///< the log shows no such volume
  wide,               ///< its standard error is more than half of it
  not_apart,          ///< the log cannot tell it and another apart
  no_such_line,       ///< the readings do not follow such a line
  as_well_without_it  ///< a line without it fits the log as well
};

/// One number that was fitted, in litres, fractions or litres per second.
struct Fitted {
  std::string key;  ///< "line.filter"; empty for the levels
  double value = 0.0;
  double standard_error = 0.0;
  std::array<double, 2> interval_95{};  ///< Student's t
  std::optional<NotTold> not_told{};
  std::array<std::string, 2> pair{};  ///< of not_apart: the keys of both

  bool determined() const { return !not_told; }
};

/// @param t  Student's, of the 95 % interval
inline Fitted fitted(std::string key, double value, double error, double t) {
  return {std::move(key), value, error, {value - t * error, value + t * error}};
}

}  // namespace blendrisk::learn
