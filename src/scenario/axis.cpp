#include "scenario/axis.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "scenario/keys.hpp"
#include "text/error.hpp"
#include "text/letter_case.hpp"
#include "text/number.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/spelling.hpp"

namespace blendrisk::scenario {
namespace {

using text::Error;
using text::trimmed;

constexpr std::string_view k_blanks = " \t";

constexpr const char* k_axis_accepted =
    "KEY=FROM:TO:STEP such as heel.indicated=2:20:1L, or KEY=V1; V2 such as "
    "\"fuel.content=70 %; 75 %\"";

struct Number {
  double value;
  std::string_view unit;
};

Number number_of(std::string_view text) {
  const auto refuse = [text](const std::string& wrong, const std::string& advice = {}) {
    throw Error(text::in_quotes(text) + " " + wrong, advice);
  };
  const text::LeadingNumber number = text::leading_number(text);
  if (number.fault == text::NumberFault::comma) {
    const text::CommaFault comma = text::comma_fault(text);
    refuse(comma.wrong, comma.advice);
  }
  if (number.fault != text::NumberFault::none) refuse("does not begin with a number");
  // Of "1/8 tank"; "/L" is the unit of a price.
  if (number.rest.size() < 2 || number.rest[0] != '/' ||
      !(number.rest[1] >= '0' && number.rest[1] <= '9')) {
    return {number.value, number.rest};
  }
  const text::LeadingNumber under = text::leading_number(number.rest.substr(1));
  const double value = number.value / under.value;
  if (under.fault != text::NumberFault::none || !std::isfinite(value)) {
    refuse("does not begin with a number");
  }
  return {value, under.rest};
}

/// At most 12 significant digits, so that 0.1 + 0.2 is 0.3.
std::string text_of(double value, std::string_view unit) {
  std::string text = text::number_text(value, 12);
  if (!unit.empty()) text.append(" ").append(unit);
  return text;
}

std::vector<std::string> range(const std::vector<std::string_view>& parts) {
  if (parts.size() != 3) throw Error("a range has three parts");
  std::array<Number, 3> numbers{};
  std::string_view unit;
  for (std::size_t i = 0; i < 3; ++i) {
    numbers[i] = number_of(parts[i]);
    if (numbers[i].unit.empty()) continue;
    if (!unit.empty() && units::spelled(unit) != units::spelled(numbers[i].unit)) {
      throw Error("the range has two units");
    }
    unit = numbers[i].unit;
  }
  const auto& [from, to, step] = numbers;
  const double steps = (to.value - from.value) / step.value;
  if (!(step.value != 0.0) || !std::isfinite(steps) || steps < 0.0) {
    throw Error("the step does not lead from the first value to the last");
  }
  if (steps > static_cast<double>(k_most_values)) {
    throw Error("the range has more than " + std::to_string(k_most_values) + " values");
  }
  const auto count = static_cast<std::size_t>(std::floor(steps + 1e-9)) + 1;
  std::vector<std::string> values;
  values.reserve(count);
  for (std::size_t i = 0; i < count; ++i) {
    values.push_back(text_of(from.value + static_cast<double>(i) * step.value, unit));
  }
  return values;
}

Axis axis_of(std::string_view text) {
  const std::string why = text::unreadable_because(text);
  if (!why.empty()) throw Error(text::in_quotes(text) + " " + why);
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos) throw Error(text::in_quotes(text) + " has no =");
  Axis axis;
  axis.key = text::in_lower_case(trimmed(text.substr(0, equals)));
  if (find_key(axis.key) == nullptr) {
    throw Error("unknown key " + text::in_quotes(axis.key) + nearest_note(axis.key, key_names()));
  }
  const std::string_view values = trimmed(text.substr(equals + 1));
  const std::vector<std::string_view> parts = text::pieces(values, ':', true, k_blanks);
  if (parts.size() > 1) {
    axis.values = range(parts);
    return axis;
  }
  for (const std::string_view value : text::pieces(values, ';', true, k_blanks)) {
    if (value.empty()) throw Error("a value is empty");
    axis.values.emplace_back(value);
  }
  if (axis.values.size() > k_most_values) {
    throw Error("there are more than " + std::to_string(k_most_values) + " values");
  }
  return axis;
}

}  // namespace

Axis parse_axis(std::string_view text, const std::string& option) {
  return text::at(
      {"--" + option}, [&] { return axis_of(text); }, k_axis_accepted);
}

}  // namespace blendrisk::scenario
