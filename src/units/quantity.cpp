#include "units/quantity.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "units/letter_case.hpp"
#include "units/number.hpp"
#include "units/quoted.hpp"
#include "units/spelling.hpp"
#include "units/trimmed.hpp"

namespace blendrisk::units {
namespace {

constexpr double k_gallon = 3.785411784;       // litres; 231 cubic inches
constexpr double k_imperial_gallon = 4.54609;  // litres
constexpr double k_mile = 1.609344;            // kilometres

/// A unit: inner = number * factor, or factor / number where the unit is the reciprocal.
struct Unit {
  std::string_view name;
  double factor;
  bool reciprocal = false;
};

constexpr std::array k_volumes{Unit{"L", 1.0}, Unit{"mL", 1e-3}, Unit{"gal", k_gallon},
                               Unit{"imp-gal", k_imperial_gallon}};
constexpr std::array k_percent{Unit{"%", 0.01}};
constexpr std::array k_rates{Unit{"L/h", 1.0 / 3600.0}, Unit{"mL/min", 1e-3 / 60.0},
                             Unit{"gal/h", k_gallon / 3600.0}};
constexpr std::array k_times{Unit{"s", 1.0}, Unit{"min", 60.0}, Unit{"h", 3600.0}};
constexpr std::array k_distances{Unit{"km", 1.0}, Unit{"mi", k_mile}};
constexpr std::array k_economies{Unit{"L/100km", 0.01}, Unit{"km/L", 1.0, true},
                                 Unit{"mpg", k_gallon / k_mile, true}};
constexpr std::array k_prices{Unit{"/L", 1.0}, Unit{"/gal", 1.0 / k_gallon}};

template <std::size_t N>
constexpr std::array<std::string_view, N> names_of(const std::array<Unit, N>& units) {
  std::array<std::string_view, N> names;
  for (std::size_t i = 0; i < N; ++i) names[i] = units[i].name;
  return names;
}

constexpr auto k_volume_names = names_of(k_volumes);
constexpr auto k_percent_names = names_of(k_percent);
constexpr auto k_rate_names = names_of(k_rates);
constexpr auto k_time_names = names_of(k_times);
constexpr auto k_distance_names = names_of(k_distances);
constexpr auto k_economy_names = names_of(k_economies);
constexpr auto k_price_names = names_of(k_prices);

struct Kind {
  std::string_view name;
  std::string_view example;  // with its article
  std::span<const Unit> units;
  std::span<const std::string_view> unit_names;
};

const Kind& kind(Dimension dimension) {
  static const std::array<Kind, 9> kinds{{
      {"volume", "a volume such as 4 L", k_volumes, k_volume_names},
      {"content", "a content such as 78 %", k_percent, k_percent_names},
      {"fraction", "a fraction such as 1 % or 1 in 100", k_percent, k_percent_names},
      {"rate", "a rate such as 0.8 L/h", k_rates, k_rate_names},
      {"time", "a time such as 30 s", k_times, k_time_names},
      {"distance", "a distance such as 120 km", k_distances, k_distance_names},
      {"economy", "an economy such as 7.5 L/100km", k_economies, k_economy_names},
      {"price", "a price such as 0.92 /L", k_prices, k_price_names},
      {"number", "a number without a unit, such as 3", {}, {}},
  }};
  return kinds.at(static_cast<std::size_t>(dimension));
}

/// Reads the number in front of `rest` and takes it off.
double take_number(std::string_view& rest, std::string_view whole, Dimension dimension) {
  const auto fail = [&](const std::string& wrong) {
    throw QuantityError(in_quotes(whole) + wrong, accepted_text(dimension));
  };
  const LeadingNumber number = leading_number(rest);
  switch (number.fault) {
    case NumberFault::none:
      break;
    case NumberFault::missing:
      fail(" does not begin with a number");
      break;
    case NumberFault::out_of_range:
      fail(" holds a number too large or too small");
      break;
    case NumberFault::not_finite:
      fail(" is not a finite number");
      break;
    case NumberFault::comma: {
      const CommaFault comma = comma_fault(rest);
      throw QuantityError(in_quotes(whole) + " " + comma.wrong, comma.advice);
    }
  }
  rest = number.rest;
  return number.value;
}

/// "EUR/L" and "ct per gal" without the currency, whose name is the user's.
std::string without_currency(std::string unit) {
  const std::size_t slash = unit.find('/');
  if (slash == std::string::npos || slash == 0) return unit;
  const std::string_view currency = trimmed(std::string_view(unit).substr(0, slash), k_any_white);
  const bool word = currency.size() <= 20 && !is_unit_word(currency) &&
                    currency.find_first_of("0123456789.,+-") == std::string_view::npos;
  return word ? unit.substr(slash) : unit;
}

/// The sign of a currency before a price, as in "$3.49/gal".
std::string_view without_currency_sign(std::string_view text) {
  for (const std::string_view sign : {"$", "\u20ac", "\u00a3", "\u00a5"}) {
    if (text.starts_with(sign)) return trimmed(text.substr(sign.size()), k_any_white);
  }
  return text;
}

/// The unit of a dimension that a text names, nullptr where it is none.
const Unit* unit_of(std::string_view text, Dimension dimension) {
  const std::span<const Unit> units = kind(dimension).units;
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

double in_unit(double value, const Unit& unit) {
  if (unit.reciprocal) return unit.factor / value;
  // Dividing by 100 rounds once where 0.01 would round twice: 78 % is the double next to 0.78.
  if (unit.factor == 0.01) return value / 100.0;
  if (unit.factor == 1e-3) return value / 1000.0;
  return value * unit.factor;
}

/// Whether a chance goes on as "1 in 100".
bool starts_with_in(std::string_view rest) {
  return rest.size() > 2 && same_word(rest.substr(0, 2), "in") &&
         k_any_white.find(rest[2]) != std::string_view::npos;
}

/// The 100 of "1 in 100".
double take_odds(std::string_view rest, std::string_view whole, Dimension dimension) {
  rest = trimmed(rest.substr(2), k_any_white);
  const double odds = take_number(rest, whole, dimension);
  if (!rest.empty() || !(odds > 0.0)) {
    throw QuantityError(in_quotes(whole) + " is no chance", accepted_text(dimension));
  }
  return odds;
}

}  // namespace

double parse_quantity(std::string_view text, Dimension dimension) {
  const std::string_view whole = trimmed(text, k_any_white);
  const auto fail = [&](const std::string& wrong) {
    throw QuantityError(wrong, accepted_text(dimension));
  };
  if (whole.empty()) fail("no value is given");
  std::string_view rest = dimension == Dimension::price ? without_currency_sign(whole) : whole;
  if (dimension == Dimension::content && names_fuel(whole)) {
    fail(in_quotes(whole) + " names a fuel, not a content");
  }
  const double value = take_number(rest, whole, dimension);
  const Kind& wanted = kind(dimension);
  if (wanted.units.empty()) {
    if (!rest.empty()) fail(in_quotes(whole) + " has a unit where none belongs");
    return value;
  }
  if (rest.empty()) fail(in_quotes(whole) + " has no unit");
  if (dimension == Dimension::fraction && starts_with_in(rest)) {
    const double result = value / take_odds(rest, whole, dimension);
    if (!std::isfinite(result)) fail(in_quotes(whole) + " has no finite value");
    return result;
  }
  if (const Unit* unit = unit_of(rest, dimension)) {
    const double result = in_unit(value, *unit);
    if (!std::isfinite(result)) fail(in_quotes(whole) + " has no finite value");
    return result;
  }
  if (may_be_mega(rest)) {
    throw QuantityError(in_quotes(whole) + " has the unit " + in_quotes(rest) +
                            ", which may mean millions of litres",
                        "mL for thousandths of a litre");
  }
  fail(in_quotes(whole) + " has the unit " + in_quotes(rest) + ", which is no unit of " +
       std::string(wanted.name));
  return 0.0;
}

bool names_fuel(std::string_view text) {
  std::string_view rest = trimmed(text, k_any_white);
  if (!rest.starts_with('E') && !rest.starts_with('e')) return false;
  rest.remove_prefix(1);
  if (rest.starts_with('-')) rest.remove_prefix(1);
  rest = trimmed(rest);
  return !rest.empty() && rest.front() >= '0' && rest.front() <= '9';
}

std::optional<double> from_unit(double value, std::string_view unit, Dimension dimension) {
  if (kind(dimension).units.empty() && unit.empty() && std::isfinite(value)) return value;
  const Unit* known = unit_of(unit, dimension);
  if (known == nullptr) return std::nullopt;
  const double result = in_unit(value, *known);
  return std::isfinite(result) ? std::optional<double>(result) : std::nullopt;
}

std::string accepted_text(Dimension dimension) {
  const Kind& wanted = kind(dimension);
  std::string text(wanted.example);
  if (wanted.unit_names.size() < 2) return text;
  text += " (";
  for (std::size_t i = 0; i < wanted.unit_names.size(); ++i) {
    if (i > 0) text += ", ";
    text += wanted.unit_names[i];
  }
  return text + ")";
}

std::string_view name(Dimension dimension) {
  return kind(dimension).name;
}

std::span<const std::string_view> unit_names(Dimension dimension) {
  return kind(dimension).unit_names;
}

}  // namespace blendrisk::units
