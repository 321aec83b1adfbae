#include "text/quoting.hpp"

#include <algorithm>

#include "text/utf8.hpp"

namespace blendrisk::text {
namespace {

std::string hex(char byte) {
  constexpr std::string_view digits = "0123456789abcdef";
  const auto value = static_cast<unsigned char>(byte);
  return {digits[value >> 4U], digits[value & 0x0FU]};
}

/// The first `most` characters, escaped; what is left in `text`.
std::string escape_some(std::string_view& text, std::size_t most) {
  std::string result;
  for (std::size_t written = 0; !text.empty() && written < most; ++written) {
    const Character next = front(text);
    const std::string_view character = text.substr(0, next.length);
    if (next.code == k_malformed || is_control(next.code)) {
      for (const char c : character) result += "\\x" + hex(c);
    } else {
      result += character;
    }
    text.remove_prefix(next.length);
  }
  return result;
}

}  // namespace

std::string escaped(std::string_view text) {
  return escape_some(text, text.size());
}

std::string in_quotes(std::string_view text, std::size_t most) {
  const std::string shown = escape_some(text, most);
  return "'" + shown + (text.empty() ? "" : "...") + "'";
}

std::string cut_short(std::string_view text) {
  constexpr std::size_t k_shown = 60;
  std::size_t end = std::min(text.size(), k_shown);
  while (end > 0 && end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) {
    --end;
  }
  return std::string(text.substr(0, end)) + (end < text.size() ? "..." : "");
}

std::string in_double_quotes(std::string_view text) {
  return '"' + cut_short(text) + '"';
}

std::string unreadable_because(std::string_view text) {
  if (text.size() > k_longest_line) {
    return "is longer than " + std::to_string(k_longest_line) + " characters";
  }
  bool malformed = false;
  for (std::string_view rest = text; !rest.empty();) {
    const Character next = front(rest);
    malformed |= next.code == k_malformed;
    if (is_control(next.code) && next.code != '\t') {
      if (next.length == 1) return "holds a control character (byte 0x" + hex(rest[0]) + ")";
      return "holds a control character (bytes 0xc2 0x" + hex(rest[1]) + ")";
    }
    rest.remove_prefix(next.length);
  }
  return malformed ? "is not UTF-8 text" : "";
}

}  // namespace blendrisk::text
