#include "units/quantity.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "text/error.hpp"
#include "text/letter_case.hpp"
#include "text/number.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/spelling.hpp"
#include "units/unit_table.hpp"

namespace blendrisk::units {
namespace {

struct Kind {
  std::string_view name;
  std::string_view example;  // with its article
};

const Kind& kind(Dimension dimension) {
  static constexpr std::array<Kind, 9> kinds{{
      {"volume", "a volume such as 4 L"},
      {"content", "a content such as 78 %"},
      {"fraction", "a fraction such as 1 % or 1 in 100"},
      {"rate", "a rate such as 0.8 L/h"},
      {"time", "a time such as 30 s"},
      {"distance", "a distance such as 120 km"},
      {"economy", "an economy such as 7.5 L/100km"},
      {"price", "a price such as 0.92 /L"},
      {"number", "a number without a unit, such as 3"},
  }};
  return kinds.at(static_cast<std::size_t>(dimension));
}

[[noreturn]] void fail(std::string_view whole, const std::string& wrong,
                       const std::string& advice = {}) {
  throw text::Error(text::in_double_quotes(whole) + " " + wrong, advice);
}

/// Reads the number in front of `rest` and takes it off.
double take_number(std::string_view& rest, std::string_view whole) {
  const text::LeadingNumber number = text::leading_number(rest);
  switch (number.fault) {
    case text::NumberFault::none:
      break;
    case text::NumberFault::missing:
      fail(whole, "does not begin with a number");
    case text::NumberFault::out_of_range:
      fail(whole, "holds a number too large or too small");
    case text::NumberFault::not_finite:
      fail(whole, "is not a finite number");
    case text::NumberFault::comma: {
      const text::CommaFault comma = text::comma_fault(rest);
      fail(whole, comma.wrong, comma.advice);
    }
  }
  rest = number.rest;
  return number.value;
}

/// "EUR/L" and "ct per gal" without the currency, whose name is the user's.
std::string without_currency(std::string unit) {
  const std::size_t slash = unit.find('/');
  if (slash == std::string::npos || slash == 0) return unit;
  const std::string_view currency =
      text::trimmed(std::string_view(unit).substr(0, slash), text::k_any_white);
  const bool word = currency.size() <= 20 && !is_unit_word(currency) &&
                    currency.find_first_of("0123456789.,+-") == std::string_view::npos;
  return word ? unit.substr(slash) : unit;
}

/// The sign of a currency before a price, as in "$3.49/gal".
std::string_view without_currency_sign(std::string_view text) {
  for (const std::string_view sign : {"$", "\u20ac", "\u00a3", "\u00a5"}) {
    if (text.starts_with(sign)) return text::trimmed(text.substr(sign.size()), text::k_any_white);
  }
  return text;
}

/// The unit of a dimension that a text names, nullptr where it is none.
const Unit* unit_of(std::string_view text, Dimension dimension) {
  const std::span<const Unit> units = units_of(dimension);
  const auto named = [&](std::string_view name) {
    const auto found = std::find_if(units.begin(), units.end(),
                                    [&](const Unit& unit) { return unit.name == name; });
    return found == units.end() ? nullptr : &*found;
  };
  if (const Unit* unit = named(text)) return unit;
  std::string name = spelled(text);
  if (dimension == Dimension::price) name = without_currency(std::move(name));
  return named(name);
}

double inner(double value, const Unit& unit) {
  if (unit.reciprocal) return unit.factor / value;
  // Dividing by 100 rounds once where 0.01 would round twice: 78 % is the double next to 0.78.
  if (unit.factor == 0.01) return value / 100.0;
  if (unit.factor == 1e-3) return value / 1000.0;
  return value * unit.factor;
}

/// Whether a chance goes on as "1 in 100".
bool starts_with_in(std::string_view rest) {
  return rest.size() > 2 && text::same_word(rest.substr(0, 2), "in") &&
         text::k_any_white.find(rest[2]) != std::string_view::npos;
}

/// The 100 of "1 in 100".
double take_odds(std::string_view rest, std::string_view whole) {
  rest = text::trimmed(rest.substr(2), text::k_any_white);
  const double odds = take_number(rest, whole);
  if (!rest.empty() || !(odds > 0.0)) fail(whole, "is no chance");
  return odds;
}

/// An error of it says what is accepted only where it has better advice than the dimension's.
double parsed(std::string_view whole, Dimension dimension) {
  if (whole.empty()) throw text::Error("no value is given");
  std::string_view rest = dimension == Dimension::price ? without_currency_sign(whole) : whole;
  if (dimension == Dimension::content && names_fuel(whole)) {
    fail(whole, "names a fuel, not a content");
  }
  const double value = take_number(rest, whole);
  if (units_of(dimension).empty()) {
    if (!rest.empty()) fail(whole, "has a unit where none belongs");
    return value;
  }
  if (rest.empty()) fail(whole, "has no unit");
  double result = 0.0;
  if (dimension == Dimension::fraction && starts_with_in(rest)) {
    result = value / take_odds(rest, whole);
  } else if (const Unit* unit = unit_of(rest, dimension)) {
    result = inner(value, *unit);
  } else {
    const std::string wrong = "has the unit " + text::in_double_quotes(rest);
    if (may_be_mega(rest)) {
      fail(whole, wrong + ", which may mean millions of litres", "mL for thousandths of a litre");
    }
    fail(whole, wrong + ", which is no unit of " + std::string(name(dimension)));
  }
  if (!std::isfinite(result)) fail(whole, "has no finite value");
  return result;
}

}  // namespace

double parse_quantity(std::string_view text, Dimension dimension, std::string_view accepted) {
  try {
    return parsed(text::trimmed(text, text::k_any_white), dimension);
  } catch (const text::Error& error) {
    const std::string known = accepted.empty() ? accepted_text(dimension) : std::string(accepted);
    throw seen_from({}, error, known);
  }
}

bool names_fuel(std::string_view text) {
  std::string_view rest = text::trimmed(text, text::k_any_white);
  if (!rest.starts_with('E') && !rest.starts_with('e')) return false;
  rest.remove_prefix(1);
  if (rest.starts_with('-')) rest.remove_prefix(1);
  rest = text::trimmed(rest);
  return !rest.empty() && rest.front() >= '0' && rest.front() <= '9';
}

bool is_reciprocal(std::string_view text, Dimension dimension) {
  const text::LeadingNumber number = text::leading_number(text::trimmed(text, text::k_any_white));
  const Unit* unit = unit_of(text::trimmed(number.rest, text::k_any_white), dimension);
  return unit != nullptr && unit->reciprocal;
}

std::optional<double> from_unit(double value, std::string_view unit, Dimension dimension) {
  if (units_of(dimension).empty() && unit.empty() && std::isfinite(value)) return value;
  const Unit* known = unit_of(unit, dimension);
  if (known == nullptr) return std::nullopt;
  const double result = inner(value, *known);
  return std::isfinite(result) ? std::optional<double>(result) : std::nullopt;
}

double in_unit(double value, std::string_view unit, Dimension dimension) {
  const Unit& of = *unit_of(unit, dimension);
  return of.reciprocal ? of.factor / value : value / of.factor;
}

std::string accepted_text(Dimension dimension) {
  std::string names;
  for (const Unit& unit : units_of(dimension)) {
    names.append(names.empty() ? "" : ", ").append(unit.name);
  }
  const std::string example(kind(dimension).example);
  return units_of(dimension).size() < 2 ? example : example + " (" + names + ")";
}

std::string_view name(Dimension dimension) {
  return kind(dimension).name;
}

std::string_view display_unit(Dimension dimension, UnitSystem system) {
  const std::span<const Unit> units = units_of(dimension);
  for (const Unit& unit : units) {
    if (system == UnitSystem::us && unit.us) return unit.name;
  }
  return units.empty() ? std::string_view() : units.front().name;
}

}  // namespace blendrisk::units
