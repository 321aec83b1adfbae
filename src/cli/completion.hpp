#pragma once

#include <string>

namespace blendrisk::cli {

/// What fits at the end of a command line, for the shell's completion: `blendrisk complete-line
/// LINE`. The first line of the answer is the word that the line ends in, without its quoting but
/// with a quote that is still open; the second what a file's name there begins with. Then follow
/// whole words, one a line; "*/" stands for directories and "*.csv" for files of that ending.
/// @param line  as typed up to the cursor, from the program's name on
/// @return empty for a line with control characters
std::string completions(const std::string& line);

}  // namespace blendrisk::cli
