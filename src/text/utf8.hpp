#pragma once

#include <cstddef>
#include <string_view>

/// Characters of UTF-8 text (RFC 3629).
namespace blendrisk::text {

/// In place of a character's code where the bytes are none.
inline constexpr char32_t k_malformed = 0xFFFFFFFF;

struct Character {
  char32_t code;
  std::size_t length;  ///< bytes; of what is malformed 1
};

/// The same where it is no ASCII.
Character front_beyond_ascii(std::string_view text);

/// The character at the front of `text`, which is not empty.
inline Character front(std::string_view text) {
  const auto first = static_cast<unsigned char>(text[0]);
  return first < 0x80 ? Character{first, 1} : front_beyond_ascii(text);
}

/// Whether it is a control character: C0, DEL or C1, which some terminals obey.
bool is_control(char32_t code);

/// Whether all of it is well-formed.
bool is_utf8(std::string_view text);

}  // namespace blendrisk::text
