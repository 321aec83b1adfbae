#pragma once

#include <string_view>

namespace blendrisk::text {

/// `text` without the white space at both ends; a part of it, at its end where nothing is left.
/// @param white  what counts as white space
constexpr std::string_view trimmed(std::string_view text, std::string_view white = " \t") {
  const std::size_t from = text.find_first_not_of(white);
  if (from == std::string_view::npos) return text.substr(text.size());
  return text.substr(from, text.find_last_not_of(white) - from + 1);
}

/// What ends a line of a file besides its line feed.
inline constexpr std::string_view k_line_white = " \t\r";

/// All that C counts as white space, for values that may hold any.
inline constexpr std::string_view k_any_white = " \t\r\n\f\v";

}  // namespace blendrisk::text
