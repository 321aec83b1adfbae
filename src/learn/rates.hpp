#pragma once

#include <optional>

#include "learn/changeover_log.hpp"
#include "learn/fitted.hpp"
#include "scenario/scenario.hpp"

/// What a log and its scenario say about the flow through the line.
namespace blendrisk::learn {

/// Standard deviation of the flow relative to its mean, of what the log does not have: the
/// scenario's rate where none was logged (the larger of two), and the return flow. Half the middle
/// two thirds of a law stands for its standard deviation.
double flow_spread(const ChangeoverLog& log, const scenario::Scenario& scenario);

/// engine.idle: the mean of the logged rate, where the engine idles throughout (a standard
/// deviation of at most 30 % of it). Its error counts that the rate drifts, as it does while an
/// engine warms up, see correlation_length. None where no rate was logged or it varies more.
std::optional<Fitted> idle_of(const ChangeoverLog& log);

}  // namespace blendrisk::learn
