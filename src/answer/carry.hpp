#pragma once

#include <string>
#include <vector>

#include "answer/json.hpp"
#include "answer/scenario_lines.hpp"

/// What is known once a fill is done, as lines of the scenario of the next.
namespace blendrisk::answer {

struct Asked;

/// @param since  what it was learnt from: of `update` the number of readings and the last's moment
std::vector<Line> carried(const Asked& asked, const estimate::CarriedOver& known,
                          const Value& since);

/// Key by key what stands behind its "=", and the correlations pair by pair under "correlation".
Json carried_members(const estimate::CarriedOver& known);

}  // namespace blendrisk::answer
