#pragma once

namespace blendrisk {

/// Version of the program and the library, as "major.minor.patch".
inline constexpr const char* k_version = "0.1.0";

}  // namespace blendrisk
