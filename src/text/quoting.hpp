#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Text of unknown origin made fit for one line of an error message.
namespace blendrisk::text {

/// `text` with control characters, and bytes that are not UTF-8, written as \xNN, so that it can
/// neither break the line nor drive a terminal.
std::string escaped(std::string_view text);

/// `text` escaped, between single quotes, shortened with "..." to at most `most` characters.
std::string in_quotes(std::string_view text, std::size_t most = 40);

/// `text` as it is, cut with "..." to 60 bytes, never within a character; and that between double
/// quotes. Control characters stay: whoever shows it escapes it.
std::string cut_short(std::string_view text);
std::string in_double_quotes(std::string_view text);

/// Why `text` cannot be a line or a value ("holds a control character (byte 0x07)", "is not UTF-8
/// text", "is longer than 10000 characters"); empty where it can. Tabs are allowed.
std::string unreadable_because(std::string_view text);

/// Longest line or value, in bytes.
inline constexpr std::size_t k_longest_line = 10'000;

}  // namespace blendrisk::text
