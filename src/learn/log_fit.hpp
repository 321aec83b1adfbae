#pragma once

#include <cstddef>
#include <vector>

#include "learn/chain_fit.hpp"
#include "learn/changeover_log.hpp"
#include "learn/line_model.hpp"
#include "learn/whitening.hpp"
#include "scenario/scenario.hpp"

/// A log of a changeover as real ones are: readings that are wrong, rates that err, a sensor that
/// drifts.
namespace blendrisk::learn {

struct LogFit {
  std::vector<std::size_t> off;  ///< rows too far off to be of the rest, in their order
  Bins bins;                     ///< of the others
  Whitening whitening;           ///< with which they are independent
  ChainFit fit;                  ///< its parts have the drift where that is told
};

/// Rows are off that lie beyond what one in a hundred logs would show anywhere (normal law), about
/// a fit with Student errors of 3 degrees of freedom (iteratively reweighted; K. L. Lange, R. J. A.
/// Little and J. M. G. Taylor, Journal of the American Statistical Association 84 (1989), 881, from
/// memory), their scatter by the median: one row in ten at most, else it is the fit that is not
/// one, and none is left out. The rest is fitted by generalised least squares: the burned volume
/// errs as burned_walk has it, and the noise is what that leaves of the residuals. A drift is told
/// by an F test at 1 %, where it makes half a tenth of a point over the log or more.
/// @param bins  of all rows
LogFit fit_log(const ChangeoverLog& log, const scenario::Scenario& scenario, const Parts& parts,
               Bins bins);

/// The scenario's noise and rounding of one reading.
double expected_noise(const scenario::Sensor& sensor);

/// F of so much less squares by one parameter more, where neighbouring residuals go together.
double chance_as_well(const ChainFit& simpler, const ChainFit& with);

}  // namespace blendrisk::learn
