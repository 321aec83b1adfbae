#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "text/utf8.hpp"

/// What every target demands, in its own words; a failed demand is a crash, which a fuzzer keeps.
namespace blendrisk::fuzz {

inline void require(bool holds) {
  if (!holds) __builtin_trap();
}

inline std::string text_of(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

/// Nothing that could drive a terminal, and UTF-8; line ends where they are allowed.
inline void require_printable(std::string_view text, bool lines) {
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    require((byte >= 0x20 && byte != 0x7F) || (lines && c == '\n'));
  }
  require(text::is_utf8(text));
  for (std::size_t at = 0; (at = text.find('\xC2', at)) != std::string_view::npos; ++at) {
    require(static_cast<unsigned char>(text[at + 1]) >= 0xA0);
  }
}

/// A message is one short line; a tab that it quotes is escaped where it is shown. A file's name of
/// up to `name` bytes stands whole in it, a byte as four at most.
inline void require_message(std::string what, std::size_t name = 0) {
  require(!what.empty() && what.size() < 1500 + 4 * name);
  std::erase(what, '\t');
  require_printable(what, false);
}

}  // namespace blendrisk::fuzz
