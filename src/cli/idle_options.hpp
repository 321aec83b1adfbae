#pragma once

#include <string>

#include "cli/options.hpp"

/// An option that does nothing misleads whoever gave it, so that each is refused where the answer
/// asked for does not heed it. Whether a command has an option at all is said by option_table.hpp.
namespace blendrisk::cli {

/// @throws UsageError for an option of the command that does nothing beside the others
void refuse_idle_options(const std::string& command, const Arguments& arguments);

}  // namespace blendrisk::cli
