#pragma once

#include <algorithm>
#include <string>
#include <string_view>

/// Words whatever their case, of ASCII letters and without the locale.
namespace blendrisk::text {

constexpr char in_lower_case(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

inline std::string in_lower_case(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = in_lower_case(c);
  return result;
}

/// Whether two words differ in case at most.
constexpr bool same_word(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](char x, char y) { return in_lower_case(x) == in_lower_case(y); });
}

}  // namespace blendrisk::text
