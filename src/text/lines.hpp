#pragma once

#include <cstddef>
#include <string_view>

/// Texts line by line.
namespace blendrisk::text {

/// Takes the first line off `text`, without its end, LF or CRLF.
inline std::string_view next_line(std::string_view& text) {
  const std::size_t end = text.find('\n');
  std::string_view line = text.substr(0, end);
  text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
  if (line.ends_with('\r')) line.remove_suffix(1);
  return line;
}

/// `text` without a byte order mark at its start.
inline std::string_view without_mark(std::string_view text) {
  constexpr std::string_view mark = "\xEF\xBB\xBF";
  return text.starts_with(mark) ? text.substr(mark.size()) : text;
}

}  // namespace blendrisk::text
