#pragma once

#include <string>

namespace blendrisk::testing {

/// The project's top folder, where the examples are. In a file of its own, so that no other test
/// depends on where the project lies and a compiler cache serves every checkout.
std::string source_dir();

}  // namespace blendrisk::testing
