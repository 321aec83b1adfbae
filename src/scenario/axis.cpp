#include "scenario/axis.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "scenario/keys.hpp"
#include "scenario/quoting.hpp"
#include "scenario/read.hpp"
#include "units/letter_case.hpp"
#include "units/number.hpp"
#include "units/spelling.hpp"
#include "units/trimmed.hpp"

namespace blendrisk::scenario {
namespace {

using units::trimmed;

constexpr const char* k_axis_accepted =
    "KEY=FROM:TO:STEP such as heel.indicated=2:20:1L, or KEY=V1; V2 such as "
    "\"fuel.content=70 %; 75 %\"";

[[noreturn]] void refuse(const std::string& option, const std::string& wrong,
                         const std::string& accepted = k_axis_accepted) {
  throw InputError("--" + option + ": " + wrong + "; " + accepted);
}

/// Pieces between separators that stand outside parentheses, brackets and quotes.
std::vector<std::string_view> split(std::string_view text, char separator) {
  std::vector<std::string_view> pieces;
  int depth = 0;
  bool inside_quotes = false;
  std::size_t from = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '"') inside_quotes = !inside_quotes;
    if (c == '(' || c == '[') ++depth;
    if (c == ')' || c == ']') --depth;
    if (c == separator && depth == 0 && !inside_quotes) {
      pieces.push_back(trimmed(text.substr(from, i - from)));
      from = i + 1;
    }
  }
  pieces.push_back(trimmed(text.substr(from)));
  return pieces;
}

struct Number {
  double value;
  std::string_view unit;
};

Number number_of(std::string_view text, const std::string& option) {
  const units::LeadingNumber number = units::leading_number(text);
  if (number.fault == units::NumberFault::comma) {
    const units::CommaFault comma = units::comma_fault(text);
    refuse(option, in_quotes(text) + " " + comma.wrong, comma.advice);
  }
  if (number.fault != units::NumberFault::none) {
    refuse(option, in_quotes(text) + " does not begin with a number");
  }
  // Of "1/8 tank"; "/L" is the unit of a price.
  if (number.rest.size() < 2 || number.rest[0] != '/' ||
      !(number.rest[1] >= '0' && number.rest[1] <= '9')) {
    return {number.value, number.rest};
  }
  const units::LeadingNumber under = units::leading_number(number.rest.substr(1));
  const double value = number.value / under.value;
  if (under.fault != units::NumberFault::none || !std::isfinite(value)) {
    refuse(option, in_quotes(text) + " does not begin with a number");
  }
  return {value, under.rest};
}

/// At most 12 significant digits, so that 0.1 + 0.2 is 0.3.
std::string text_of(double value, std::string_view unit) {
  std::array<char, 40> digits{};
  char* end = std::to_chars(digits.data(), digits.data() + digits.size(), value,
                            std::chars_format::general, 12)
                  .ptr;
  std::string text(digits.data(), end);
  if (!unit.empty()) text.append(" ").append(unit);
  return text;
}

std::vector<std::string> range(const std::vector<std::string_view>& parts,
                               const std::string& option) {
  if (parts.size() != 3) refuse(option, "a range has three parts");
  std::array<Number, 3> numbers{};
  std::string_view unit;
  for (std::size_t i = 0; i < 3; ++i) {
    numbers[i] = number_of(parts[i], option);
    if (numbers[i].unit.empty()) continue;
    if (!unit.empty() && units::spelled(unit) != units::spelled(numbers[i].unit))
      refuse(option, "the range has two units");
    unit = numbers[i].unit;
  }
  const auto& [from, to, step] = numbers;
  const double steps = (to.value - from.value) / step.value;
  if (!(step.value != 0.0) || !std::isfinite(steps) || steps < 0.0) {
    refuse(option, "the step does not lead from the first value to the last");
  }
  if (steps > static_cast<double>(k_most_values)) {
    refuse(option, "the range has more than " + std::to_string(k_most_values) + " values");
  }
  const auto count = static_cast<std::size_t>(std::floor(steps + 1e-9)) + 1;
  std::vector<std::string> values;
  values.reserve(count);
  for (std::size_t i = 0; i < count; ++i) {
    values.push_back(text_of(from.value + static_cast<double>(i) * step.value, unit));
  }
  return values;
}

}  // namespace

Axis parse_axis(std::string_view text, const std::string& option) {
  const std::string why = unreadable_because(std::string(text));
  if (!why.empty()) refuse(option, in_quotes(text) + " " + why);
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos) refuse(option, in_quotes(text) + " has no =");
  Axis axis;
  axis.key = units::in_lower_case(trimmed(text.substr(0, equals)));
  if (find_key(axis.key) == nullptr) {
    refuse(option, "unknown key " + in_quotes(axis.key) + nearest_note(axis.key, key_names()));
  }
  const std::string_view values = trimmed(text.substr(equals + 1));
  const std::vector<std::string_view> parts = split(values, ':');
  if (parts.size() > 1) {
    axis.values = range(parts, option);
    return axis;
  }
  for (const std::string_view value : split(values, ';')) {
    if (value.empty()) refuse(option, "a value is empty");
    axis.values.emplace_back(value);
  }
  if (axis.values.size() > k_most_values) {
    refuse(option, "there are more than " + std::to_string(k_most_values) + " values");
  }
  return axis;
}

}  // namespace blendrisk::scenario
