#pragma once

#include <string>

namespace blendrisk::report {

/// The text answer where a file holds the rest: its name, what more there is to say (lines, or
/// nothing), and the short caution. Ends with a newline.
std::string written_text(const std::string& path, const std::string& more);

}  // namespace blendrisk::report
