#include "units/spelling.hpp"

#include <algorithm>
#include <array>
#include <cstddef>

#include "units/letter_case.hpp"
#include "units/trimmed.hpp"

namespace blendrisk::units {
namespace {

struct Word {
  std::string_view spelling;  // in lower case, single spaces
  std::string_view unit;
};

constexpr auto k_words = std::to_array<Word>({
    {"l", "L"},
    {"litre", "L"},
    {"litres", "L"},
    {"liter", "L"},
    {"liters", "L"},
    {"ml", "mL"},
    {"millilitre", "mL"},
    {"millilitres", "mL"},
    {"milliliter", "mL"},
    {"milliliters", "mL"},
    {"gal", "gal"},
    {"gallon", "gal"},
    {"gallons", "gal"},
    {"us gal", "gal"},
    {"us gallon", "gal"},
    {"us gallons", "gal"},
    {"imp gal", "imp-gal"},
    {"imp gallon", "imp-gal"},
    {"imp gallons", "imp-gal"},
    {"imperial gallon", "imp-gal"},
    {"imperial gallons", "imp-gal"},
    {"%", "%"},
    {"percent", "%"},
    {"per cent", "%"},
    {"s", "s"},
    {"sec", "s"},
    {"second", "s"},
    {"seconds", "s"},
    {"min", "min"},
    {"mins", "min"},
    {"minute", "min"},
    {"minutes", "min"},
    {"h", "h"},
    {"hr", "h"},
    {"hrs", "h"},
    {"hour", "h"},
    {"hours", "h"},
    {"km", "km"},
    {"kilometre", "km"},
    {"kilometres", "km"},
    {"kilometer", "km"},
    {"kilometers", "km"},
    {"mi", "mi"},
    {"mile", "mi"},
    {"miles", "mi"},
    {"mpg", "mpg"},
});

// Longer texts are no unit, and would only cost time.
constexpr std::size_t k_longest = 60;

/// Lower case, with a single space for each run of white space and hyphens.
std::string plain(std::string_view text) {
  std::string result;
  for (const char c : text) {
    const bool gap = c == '-' || k_any_white.find(c) != std::string_view::npos;
    if (!gap) {
      result += in_lower_case(c);
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
  for (const Word& each : k_words) {
    if (each.spelling == wanted) return each.unit;
  }
  return {};
}

/// One side of a slash, with the number that a distance may carry: "100 km".
std::string spelled_part(std::string_view part) {
  part = trimmed(part, k_any_white);
  const std::size_t digits = std::min(part.find_first_not_of("0123456789"), part.size());
  const std::string_view word = trimmed(part.substr(digits), k_any_white);
  const std::string_view unit = is_open(word) ? word : known(word);
  return std::string(part.substr(0, digits)) + std::string(unit.empty() ? word : unit);
}

bool is_white(char c) {
  return k_any_white.find(c) != std::string_view::npos;
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
  unit = trimmed(unit, k_any_white);
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
  unit = trimmed(unit, k_any_white);
  return is_open(trimmed(unit.substr(0, unit.find('/')), k_any_white));
}

bool is_unit_word(std::string_view word) {
  return word.size() <= k_longest && !known(word).empty();
}

}  // namespace blendrisk::units
