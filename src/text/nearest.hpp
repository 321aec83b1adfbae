#pragma once

#include <span>
#include <string>
#include <string_view>

namespace blendrisk::text {

/// The name in `known` that needs the fewest single-character insertions, removals, replacements
/// and swaps of neighbours to become `word`, upper and lower case alike; the first of equals.
/// Empty where the best needs more than a third of the longer text's length (at least one).
std::string nearest(std::string_view word, std::span<const std::string> known);

}  // namespace blendrisk::text
