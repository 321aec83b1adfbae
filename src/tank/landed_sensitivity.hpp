#pragma once

#include <cstdint>
#include <vector>

#include "estimate/sensitivity.hpp"
#include "sampling/case_inputs.hpp"

namespace blendrisk::tank {

/// Indices of the landed content, one for each uncertain input of `inputs` in the order of their
/// slots. For correlated inputs they keep their meaning: the share of the variance that goes when
/// the input is known, with what it tells of the others, and the share that is left when all others
/// are known (the full first-order and the independent total index of T. A. Mara and S. Tarantola,
/// Reliability Engineering and System Safety 107, 2012, from memory); a first-order index then can
/// be the greater of the two.
struct LandedSensitivity {
  std::vector<std::size_t> slots;
  std::vector<estimate::Sensitivity> indices;
  std::uint64_t evaluations = 0;
};
LandedSensitivity landed_sensitivity(const sampling::CaseInputs& inputs, std::uint64_t seed);

/// Every uncertain input with indices that are not numbers: where fills are done inputs depend on
/// each other through what the dispenser showed, and shares of the variance are not told.
LandedSensitivity without_indices(const sampling::CaseInputs& inputs);

}  // namespace blendrisk::tank
