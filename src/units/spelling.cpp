#include "units/spelling.hpp"

#include <algorithm>
#include <cstddef>

#include "text/letter_case.hpp"
#include "text/trimmed.hpp"
#include "units/unit_table.hpp"

namespace blendrisk::units {
namespace {

// Longer texts are no unit, and would only cost time.
constexpr std::size_t k_longest = 60;

/// Lower case, with a single space for each run of white space and hyphens.
std::string plain(std::string_view text) {
  std::string result;
  for (const char c : text) {
    const bool gap = c == '-' || text::k_any_white.find(c) != std::string_view::npos;
    if (!gap) {
      result += text::in_lower_case(c);
    } else if (!result.empty() && result.back() != ' ') {
      result += ' ';
    }
  }
  if (result.ends_with(' ')) result.pop_back();
  return result;
}

bool is_open(std::string_view part) {
  return part == "ML" || part == "Ml";
}

std::string_view known(std::string_view word) {
  const std::string wanted = plain(word);
  if (wanted.empty() || wanted.find('|') != std::string::npos) return {};
  for (const Unit& unit : all_units()) {
    if (unit.spellings.find("|" + wanted + "|") != std::string_view::npos) return unit.name;
  }
  return {};
}

/// One side of a slash, with the number that a distance may carry: "100 km".
std::string spelled_part(std::string_view part) {
  part = text::trimmed(part, text::k_any_white);
  const std::size_t digits = std::min(part.find_first_not_of("0123456789"), part.size());
  const std::string_view word = text::trimmed(part.substr(digits), text::k_any_white);
  const std::string_view unit = is_open(word) ? word : known(word);
  return std::string(part.substr(0, digits)) + std::string(unit.empty() ? word : unit);
}

bool is_white(char c) {
  return text::k_any_white.find(c) != std::string_view::npos;
}

/// "a per b" as "a/b" and "per b" as "/b"; "per cent" is one word.
std::string with_slash(std::string_view unit) {
  for (std::size_t i = 0; i + 4 < unit.size(); ++i) {
    const bool alone = (i == 0 || is_white(unit[i - 1])) && is_white(unit[i + 3]);
    if (!alone || plain(unit.substr(i, 3)) != "per" || plain(unit.substr(i)) == "per cent")
      continue;
    return std::string(unit.substr(0, i)) + "/" + std::string(unit.substr(i + 4));
  }
  return std::string(unit);
}

}  // namespace

std::string spelled(std::string_view unit) {
  unit = text::trimmed(unit, text::k_any_white);
  if (unit.size() > k_longest) return std::string(unit);
  const std::string text = with_slash(unit);
  const std::size_t slash = text.find('/');
  std::string result = spelled_part(std::string_view(text).substr(0, slash));
  if (slash != std::string::npos) {
    result += "/" + spelled_part(std::string_view(text).substr(slash + 1));
  }
  return result == "mi/gal" ? "mpg" : result;
}

bool may_be_mega(std::string_view unit) {
  unit = text::trimmed(unit, text::k_any_white);
  return is_open(text::trimmed(unit.substr(0, unit.find('/')), text::k_any_white));
}

bool is_unit_word(std::string_view word) {
  return word.size() <= k_longest && !known(word).empty();
}

}  // namespace blendrisk::units
