#pragma once

#include <optional>
#include <string_view>

namespace blendrisk::units {

/// The share in a text such as "1/8 tank", "3/8 of the tank", "12 % of tank" or "0.25 tank": a
/// fraction, not checked against any range. None for any other text.
std::optional<double> tank_share(std::string_view text);

}  // namespace blendrisk::units
