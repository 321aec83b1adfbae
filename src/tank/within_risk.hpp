#pragma once

#include "estimate/fits_nearby.hpp"
#include "estimate/result.hpp"
#include "sampling/case_inputs.hpp"

/// Whether a chance is within its risk, with as little effort as tells.
namespace blendrisk::tank {

/// A chance this much of the risk is still within it: rounding.
inline constexpr double k_rounding = 1.0 + 1e-9;

/// Whether the chance of landing outside, as estimate_outside tells it, is within the accepted
/// risk.
/// @param nearby  fits of other amounts and readings, if there are any
/// @throws ImpossibleScenario
estimate::Found<bool> outside_within_risk(const sampling::CaseInputs& inputs,
                                          const estimate::Options& options,
                                          estimate::SidesNearby* nearby = nullptr);

/// Whether that of running dry before any fill is within the dry risk.
bool dry_within_risk(const sampling::CaseInputs& inputs, const estimate::Options& options);

}  // namespace blendrisk::tank
