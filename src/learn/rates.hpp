#pragma once

#include <optional>
#include <vector>

#include "learn/changeover_log.hpp"
#include "learn/fitted.hpp"
#include "scenario/scenario.hpp"

/// What a log and its scenario say about the flow through the line.
namespace blendrisk::learn {

/// Standard deviation of the flow relative to its mean, of what the log does not have: the
/// scenario's rate where none was logged (the larger of two), and the return flow. Half the middle
/// two thirds of a law stands for its standard deviation.
double flow_spread(const ChangeoverLog& log, const scenario::Scenario& scenario);

/// Standard deviation of one logged rate about its neighbours', relative to them: what second
/// differences show, by their median so that a change of load does not count. A rate that truly
/// changes from row to row shows the same, and the rule that sums it then errs as much. 0 where no
/// rate was logged.
double rate_scatter(const ChangeoverLog& log);

/// Variance that the burned volume takes on from row to row [L²]: each logged rate counts for half
/// the time to either neighbour with rate_scatter; and over a gap in the log (three times the usual
/// time between rows) the rate goes its own way between both ends, as far from row to row as over
/// such a time elsewhere: a Brownian bridge, whose integral over T has the variance d² T²/12, d²
/// the mean square of what the rate changes in T.
std::vector<double> burned_walk(const ChangeoverLog& log);

/// engine.idle: the mean of the logged rate, where the engine idles throughout (a standard
/// deviation of at most 30 % of it). Its error counts that the rate drifts, as it does while an
/// engine warms up, see correlation_length. None where no rate was logged or it varies more.
std::optional<Fitted> idle_of(const ChangeoverLog& log);

}  // namespace blendrisk::learn
