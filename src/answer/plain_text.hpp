#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Text of unknown origin made fit for a terminal, and lines made fit for its width.
namespace blendrisk::answer {

/// Widest line of a text report, in columns.
inline constexpr std::size_t k_columns = 80;

/// `text` without control characters (C0, DEL, C1), whole terminal escape sequences (ECMA-48:
/// control sequences, and strings up to their terminator), and characters that are invisible or
/// turn the direction of writing. Runs of white space become one space, none at the ends; bytes
/// that are not UTF-8 become "?".
std::string cleaned(std::string_view text);

/// Columns that cleaned text takes: one a character, two for wide East Asian ones and pictographs,
/// none for combining marks.
std::size_t width(std::string_view text);

/// Cleaned text, cut to `most` columns with "..." at the end where it is longer; `most` >= 3.
std::string shortened(std::string_view text, std::size_t most);

/// Cleaned text padded with spaces to `columns`, as it is where it is longer.
std::string padded(std::string_view text, std::size_t columns);

/// Cleaned text broken at spaces into lines of at most k_columns, a longer word anywhere; the first
/// line begins with `first`, the others with as many spaces. Each ends with a newline.
std::string wrapped(std::string_view text, std::string_view first = "");

}  // namespace blendrisk::answer
