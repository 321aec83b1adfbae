#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "text/error.hpp"

/// INI text to key and value, with where each stood.
namespace blendrisk::scenario {

struct Entry {
  std::string key;  ///< "heel.indicated"
  std::string value;
  text::Place place;         ///< its line is 0 on the command line
  std::string comment = {};  ///< behind it on its line
  /// The law's text that `value`, a plain quantity, moves; empty: none.
  std::string moves = {};
};

/// Of an entry that takes in another text, which has its path for a value.
inline constexpr const char* k_include = "include";

/// Largest scenario text, in bytes.
inline constexpr std::size_t k_largest_text = 1'000'000;

/// The entries of `text` in file order, all of known keys, none twice but k_include, which stands
/// above the first section; whatever the case of their letters. A comment begins with #, or with ;
/// at the start of a line or after white space. A byte order mark and CRLF line ends are accepted.
/// @param name  shown in errors   @param included_by  as in text::Place
/// @throws text::Error for text that is empty, too large, not UTF-8 or no INI, for unknown sections
///   and keys, and for keys given twice.
std::vector<Entry> parse_ini(const std::string& name, std::string_view text,
                             const std::string& included_by = {});

}  // namespace blendrisk::scenario
