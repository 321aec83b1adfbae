#include "scenario/quoting.hpp"

#include <cstdint>

namespace blendrisk::scenario {
namespace {

/// Length of the well-formed UTF-8 character at `at`, 0 where there is none.
std::size_t character_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) {
    return static_cast<std::uint32_t>(static_cast<unsigned char>(text[i]));
  };
  const std::uint32_t first = byte(at);
  if (first < 0x80) return 1;
  std::size_t length = 0;
  std::uint32_t smallest = 0;
  std::uint32_t code = 0;
  if ((first & 0xE0U) == 0xC0U) {
    length = 2, smallest = 0x80, code = first & 0x1FU;
  } else if ((first & 0xF0U) == 0xE0U) {
    length = 3, smallest = 0x800, code = first & 0x0FU;
  } else if ((first & 0xF8U) == 0xF0U) {
    length = 4, smallest = 0x10000, code = first & 0x07U;
  } else {
    return 0;
  }
  if (at + length > text.size()) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(at + i) & 0xC0U) != 0x80U) return 0;
    code = (code << 6U) | (byte(at + i) & 0x3FU);
  }
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  return code < smallest || code > 0x10FFFF || surrogate ? 0 : length;
}

bool is_control(std::string_view character) {
  const auto first = static_cast<unsigned char>(character[0]);
  if (character.size() == 1) return first < 0x20 || first == 0x7F;
  // C1 controls, which some terminals obey.
  return character.size() == 2 && first == 0xC2 && static_cast<unsigned char>(character[1]) < 0xA0;
}

std::string hex(unsigned char byte) {
  constexpr std::string_view digits = "0123456789abcdef";
  return {digits[byte >> 4U], digits[byte & 0x0FU]};
}

std::string escape_some(std::string_view text, std::size_t most, bool& cut) {
  std::string result;
  std::size_t written = 0;
  std::size_t at = 0;
  for (; at < text.size() && written < most; ++written) {
    const std::size_t length = character_length(text, at);
    const std::string_view character = text.substr(at, length == 0 ? 1 : length);
    if (length == 0 || is_control(character)) {
      for (const char c : character) result += "\\x" + hex(static_cast<unsigned char>(c));
    } else {
      result += character;
    }
    at += character.size();
  }
  cut = at < text.size();
  return result;
}

}  // namespace

std::string escaped(std::string_view text) {
  bool cut = false;
  return escape_some(text, text.size(), cut);
}

std::string in_quotes(std::string_view text, std::size_t most) {
  bool cut = false;
  const std::string shown = escape_some(text, most, cut);
  return "'" + shown + (cut ? "..." : "") + "'";
}

std::size_t first_malformed_utf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = character_length(text, at);
    if (length == 0) return at;
    at += length;
  }
  return std::string_view::npos;
}

std::string unreadable_because(std::string_view text) {
  if (text.size() > k_longest_line) {
    return "is longer than " + std::to_string(k_longest_line) + " characters";
  }
  for (std::size_t at = 0; at < text.size(); ++at) {
    const auto byte = static_cast<unsigned char>(text[at]);
    const bool control = (byte < 0x20 && byte != '\t') || byte == 0x7F;
    if (control) return "holds a control character (byte 0x" + hex(byte) + ")";
    // A C1 control in UTF-8.
    if (byte != 0xC2 || at + 1 == text.size()) continue;
    const auto next = static_cast<unsigned char>(text[at + 1]);
    if (next >= 0x80 && next < 0xA0) {
      return "holds a control character (bytes 0xc2 0x" + hex(next) + ")";
    }
  }
  if (first_malformed_utf8(text) != std::string_view::npos) return "is not UTF-8 text";
  return {};
}

}  // namespace blendrisk::scenario
