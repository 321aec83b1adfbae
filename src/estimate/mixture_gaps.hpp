#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "estimate/score_parts.hpp"

namespace blendrisk::estimate {

/// Adds parts to a mixture where points that were seen weigh far more than its mean, as where one
/// input lies far out and others help (incremental mixture importance sampling: A. E. Raftery,
/// L. Bao, Biometrics 66, 2010; from memory). What it adds is taken from the other parts alike.
/// @param mean   of the integrand, roughly
/// @param seen   evaluated clouds
/// @param parts  shares add up to 1, before and after
/// @return evaluations
std::uint64_t fill_gaps(const Problem& problem, Workspace& workspace, double mean,
                        std::span<const Cloud> seen, std::vector<Shared>& parts);

}  // namespace blendrisk::estimate
