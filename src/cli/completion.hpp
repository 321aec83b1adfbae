#pragma once

#include <string>

namespace blendrisk::cli {

/// A script that completes command lines of the program in Bash 4 or newer, from the tables that
/// the help is printed from.
std::string bash_completion();

}  // namespace blendrisk::cli
