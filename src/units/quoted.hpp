#pragma once

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>

namespace blendrisk::units {

/// `text` for a message, cut with "..." to 60 bytes, never within a character. Control characters
/// stay: whoever shows it cleans it.
inline std::string shortened(std::string_view text) {
  constexpr std::size_t k_shown = 60;
  std::size_t end = std::min(text.size(), k_shown);
  while (end > 0 && end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) {
    --end;
  }
  return std::string(text.substr(0, end)) + (end < text.size() ? "..." : "");
}

/// The same between double quotes.
inline std::string in_quotes(std::string_view text) {
  return '"' + shortened(text) + '"';
}

}  // namespace blendrisk::units
