#pragma once

#include <limits>

namespace blendrisk {

/// Of a content, a volume or a time that nothing bounds.
inline constexpr double k_infinity = std::numeric_limits<double>::infinity();

}  // namespace blendrisk
