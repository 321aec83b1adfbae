#pragma once

#include <cstddef>
#include <optional>

#include "estimate/result.hpp"

namespace blendrisk::sampling {
class CaseInputs;
}

namespace blendrisk::tank {

/// How chances came about: one of these, or several where the answers of one table or curve differ.
struct Methods {
  bool exact = false;        ///< nothing was left to draw
  bool conditional = false;  ///< on points, given all inputs but one
  bool points = false;       ///< on points, with no input to condition on
  bool crude = false;        ///< cases were counted

  Methods& operator|=(const Methods& other) {
    exact |= other.exact;
    conditional |= other.conditional;
    points |= other.points;
    crude |= other.crude;
    return *this;
  }
};

/// How the chance of landing outside a limit is estimated: cases are counted where that is asked
/// for or there is nothing to condition on.
Methods methods_of_outside(const sampling::CaseInputs& inputs, const estimate::Options& options);

/// How what depends on the last content is estimated on points, given all inputs but `conditioned`.
Methods methods_on_points(const sampling::CaseInputs& inputs,
                          const std::optional<std::size_t>& conditioned);

}  // namespace blendrisk::tank
