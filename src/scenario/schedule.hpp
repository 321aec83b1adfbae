#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "scenario/scenario.hpp"

/// How the engine is run after the fill.
namespace blendrisk::scenario {

/// Phases of "idle 4 min, gentle": load, and how long; the last goes on and carries no time.
/// @param accepted  told in errors   @throws text::Error
std::vector<Phase> parse_schedule(std::string_view text, const std::string& accepted);

}  // namespace blendrisk::scenario
