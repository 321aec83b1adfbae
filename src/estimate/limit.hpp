#pragma once

#include <vector>

#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::estimate {

/// A limit of the content, and the side of it that misses it.
struct Limit {
  Side side = Side::below;
  double value = 0.0;

  bool below() const { return side == Side::below; }
  /// 1 where less is a miss, -1 where more is.
  double sign() const { return below() ? 1.0 : -1.0; }
  /// As compared with: a content within 1e-12 of a limit meets it, so that rounding does not decide
  /// where a sum comes out at the limit itself.
  double compared() const { return value - sign() * 1e-12; }
  /// How far beyond it a content is; above 0 it is missed.
  double beyond(double content) const { return sign() * (compared() - content); }
  bool missed_by(double content) const { return beyond(content) > 0.0; }
};

/// Those of a scenario, the minimum first.
inline std::vector<Limit> limits_of(const scenario::Limits& limits) {
  std::vector<Limit> all;
  if (limits.minimum) all.push_back({Side::below, *limits.minimum});
  if (limits.maximum) all.push_back({Side::above, *limits.maximum});
  return all;
}

}  // namespace blendrisk::estimate
