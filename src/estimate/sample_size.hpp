#pragma once

#include <optional>

#include "estimate/randomised_qmc.hpp"
#include "estimate/result.hpp"

namespace blendrisk::estimate {

/// An estimated chance and how it came about.
struct MeanResult {
  Estimate estimate;
  Effort effort;
  MeanOfReplicates mean;
  bool less_sure = false;  ///< a few points carry the sum: the interval is less sure than 95 %
};

/// What importance sampling was fitted to a problem, for another look at the same one.
using Fitted = std::optional<Fit>;

/// The mean of the integrand to options.precision, or with the points that options.cases allow.
///
/// Sixteen scramblings. A first round of 2⁴ tilted points each sizes the next, under new
/// scramblings; where that misses the precision, another follows, sized by what it missed. Only the
/// last round is reported, and never the first, so that no run is favoured because its error
/// happened to look small. Where options.decision_serves, a tenth of the chance is precise enough
/// once its whole interval is a thousand times below the risk that it is held against, or below
/// 1e-10, where reports tell no digits. Without a tilt the mean is skewed, and there are 64
/// scramblings. An event likelier than not is estimated by its complement, which then is what is
/// tilted. No inputs to draw: exact.
/// @param fitted  of the same problem: taken from there, put there where it is not; none: fitted
/// anew
MeanResult estimate_mean(const Problem& problem, const Options& options, Workspace& workspace,
                         const Progress& progress, Fitted* fitted = nullptr);

}  // namespace blendrisk::estimate
