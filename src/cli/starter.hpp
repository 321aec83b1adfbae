#pragma once

#include <string>

namespace blendrisk::cli {

/// The commented scenario that `blendrisk new` prints, which runs as it is. Lines that begin with ;
/// are keys and sections to be had by taking it away.
/// @param back  from high-ethanol fuel to gasoline, with a maximum
std::string starter_scenario(bool back);

}  // namespace blendrisk::cli
