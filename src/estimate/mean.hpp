#pragma once

#include "estimate/chance.hpp"
#include "estimate/replicates.hpp"

namespace blendrisk::estimate {

/// An estimated chance and how it came about.
struct MeanResult {
  Estimate estimate;
  MeanOfReplicates mean;
  std::uint64_t evaluations = 0;
  Stop stop = Stop::precision_reached;
  bool leaned = false;
  bool less_sure = false;  ///< a few points carry the sum: the interval is less sure than 95 %
};

/// The mean of the integrand to options.precision, or with the points that options.cases allow.
///
/// Sixteen scramblings of 2⁵ leaned points; where their standard error is above the precision, a
/// new round under new scramblings, sized by what the last one missed. Only the last round is
/// reported, so that no run is favoured because its error happened to look small. Without a lean
/// the mean is skewed, and there are 64 scramblings.
/// An event likelier than not is estimated by its complement, which then is what leans.
/// No inputs to draw: exact.
MeanResult estimate_mean(const Problem& problem, const Options& options, Workspace& workspace,
                         const Progress& progress);

}  // namespace blendrisk::estimate
