#pragma once

#include <string_view>
#include <vector>

#include "scenario/scenario.hpp"

namespace blendrisk::scenario {

/// Phases of "idle 4 min, gentle": load, in any case, and how long; the last goes on and
/// carries no time.
/// @throws std::invalid_argument with what is wrong.
std::vector<Phase> parse_schedule(std::string_view text);

}  // namespace blendrisk::scenario
