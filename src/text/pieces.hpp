#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "text/trimmed.hpp"

namespace blendrisk::text {

/// Puts into `found` the pieces between separators that stand outside double quotes and, where
/// `nested`, outside parentheses and brackets too, each trimmed of `white`: one at least.
inline void take_pieces(std::vector<std::string_view>& found, std::string_view text, char separator,
                        bool nested = false, std::string_view white = k_any_white) {
  found.clear();
  int depth = 0;
  bool inside_quotes = false;
  std::size_t from = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '"') inside_quotes = !inside_quotes;
    if (nested && (c == '(' || c == '[')) ++depth;
    if (nested && (c == ')' || c == ']')) --depth;
    if (c != separator || depth != 0 || inside_quotes) continue;
    found.push_back(trimmed(text.substr(from, i - from), white));
    from = i + 1;
  }
  found.push_back(trimmed(text.substr(from), white));
}

/// The same as a list of its own.
inline std::vector<std::string_view> pieces(std::string_view text, char separator,
                                            bool nested = false,
                                            std::string_view white = k_any_white) {
  std::vector<std::string_view> found;
  take_pieces(found, text, separator, nested, white);
  return found;
}

/// The other way round: "a, b, c".
inline std::string listed(const std::vector<std::string>& names, std::string_view between = ", ") {
  std::string list;
  for (const std::string& name : names) {
    if (&name != &names.front()) list += between;
    list += name;
  }
  return list;
}

/// As a sentence has them: "a, b and c".
inline std::string enumerated(std::vector<std::string> names) {
  if (names.size() < 2) return listed(names);
  const std::string last = std::move(names.back());
  names.pop_back();
  return listed(names) + " and " + last;
}

}  // namespace blendrisk::text
