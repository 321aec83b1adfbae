#include "text/utf8.hpp"

#include <array>

namespace blendrisk::text {

Character front_beyond_ascii(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(0);
  const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
  if (first < 0xC2 || first > 0xF4 || text.size() < length) return {k_malformed, 1};
  char32_t code = first & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0U) != 0x80U) return {k_malformed, 1};
    code = (code << 6U) | (byte(i) & 0x3FU);
  }
  constexpr std::array<char32_t, 5> smallest{0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  if (code < smallest[length] || code > 0x10FFFF || surrogate) return {k_malformed, 1};
  return {code, length};
}

bool is_control(char32_t code) {
  return code < 0x20 || (code >= 0x7F && code <= 0x9F);
}

bool is_utf8(std::string_view text) {
  while (!text.empty()) {
    const Character next = front(text);
    if (next.code == k_malformed) return false;
    text.remove_prefix(next.length);
  }
  return true;
}

}  // namespace blendrisk::text
