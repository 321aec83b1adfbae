#include "distributions/distribution_text.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <vector>

#include "distributions/form.hpp"
#include "text/error.hpp"
#include "text/letter_case.hpp"
#include "text/nearest.hpp"
#include "text/number.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::distributions {
namespace {

using text::Error;
using text::same_word;
using units::Dimension;

constexpr std::size_t k_any = static_cast<std::size_t>(-1);
constexpr std::string_view k_of_a_fuel =
    "the limits of the standard that it is sold to as a law, such as uniform(51 %, 83 %), or "
    "tests(...) or measured(...) of the pump";
constexpr std::string_view k_difference = "a difference such as 3 %";
constexpr std::string_view k_by_distance = "fuel by distance, such as 8.5 L/100km";
constexpr std::string_view k_window_form = "a window is written in [low, high]";

[[noreturn]] void fail(std::string_view text, const std::string& wrong, std::string_view accepted) {
  throw Error(text::in_double_quotes(text) + " " + wrong, std::string(accepted));
}

std::string_view trimmed(std::string_view text) {
  return text::trimmed(text, text::k_any_white);
}

/// The first of `wanted` outside double quotes.
std::size_t find_unquoted(std::string_view text, char wanted, std::size_t from = 0) {
  bool inside = false;
  for (std::size_t i = from; i < text.size(); ++i) {
    if (text[i] == '"') inside = !inside;
    if (text[i] == wanted && !inside) return i;
  }
  return std::string_view::npos;
}

/// The parameters or bounds between commas, none of an empty text.
std::vector<std::string_view> split(std::string_view text) {
  if (trimmed(text).empty()) return {};
  return text::pieces(text, ',');
}

/// A text taken apart: the law (name and parameters, or a plain quantity) and the window.
struct Parts {
  std::string_view name;  // empty for a plain quantity
  std::string_view inside;
  std::string_view quantity;
  std::optional<std::string_view> window;  // between the brackets
};

/// What is between the brackets of "in [low, high]".
std::string_view window_of(std::string_view text) {
  const bool begins = same_word(text.substr(0, 2), "in");
  const std::string_view bracket = begins ? trimmed(text.substr(2)) : std::string_view();
  if (!bracket.starts_with('[') || !bracket.ends_with(']')) {
    fail(text, "is not a window", k_window_form);
  }
  return bracket.substr(1, bracket.size() - 2);
}

Parts take_apart(std::string_view text) {
  Parts parts;
  const std::size_t open = find_unquoted(text, '(');
  if (open != std::string_view::npos) {
    const std::size_t close = find_unquoted(text, ')', open);
    if (close == std::string_view::npos) {
      fail(text, "has no closing parenthesis", "one of " + law_names_text());
    }
    parts.name = trimmed(text.substr(0, open));
    parts.inside = text.substr(open + 1, close - open - 1);
    const std::string_view rest = trimmed(text.substr(close + 1));
    if (!rest.empty()) parts.window = window_of(rest);
    if (parts.name.empty()) {
      fail(text, "has no name before the parenthesis", "one of " + law_names_text());
    }
    return parts;
  }
  const std::size_t bracket = text.find('[');
  parts.quantity = text;
  if (bracket == std::string_view::npos) return parts;
  // "4 min [...]" ends in a unit, not in the word: the word stands alone.
  const std::string_view head = trimmed(text.substr(0, bracket));
  const bool has_word = head.size() > 2 && same_word(head.substr(head.size() - 2), "in") &&
                        text::k_any_white.find(head[head.size() - 3]) != std::string_view::npos;
  if (!has_word) window_of(text);
  parts.quantity = trimmed(head.substr(0, head.size() - 2));
  parts.window = window_of(text.substr(head.size() - 2));
  return parts;
}

/// A place of the law, which a fuel's name may have been meant to give.
double place(std::string_view text, Dimension dimension, std::string_view accepted = {}) {
  if (dimension == Dimension::content && units::names_fuel(text)) {
    fail(text, "names a fuel, not a content", k_of_a_fuel);
  }
  return units::parse_quantity(text, dimension, accepted);
}

/// A standard deviation or scale: a difference of two values.
double difference(std::string_view text, Dimension dimension) {
  const bool content = dimension == Dimension::content;
  if (content && units::names_fuel(text)) {
    fail(text, "is a fuel, where a difference of contents belongs", k_difference);
  }
  return units::parse_quantity(text, dimension, content ? k_difference : std::string_view());
}

std::string unquoted(std::string_view text, const Form& form) {
  const bool enclosed = text.size() > 2 && text.front() == '"' && text.back() == '"' &&
                        text.find('"', 1) == text.size() - 1;
  if (!enclosed) fail(text, "is not a name between double quotes", form.text);
  return std::string(text.substr(1, text.size() - 2));
}

const Form& form_of(std::string_view name) {
  std::vector<std::string> names;
  for (const Form* form : forms()) {
    if (same_word(form->name(), name)) return *form;
    names.emplace_back(form->name());
  }
  const std::string near = text::nearest(name, names);
  std::string accepted = "one of " + law_names_text();
  for (const Form* form : forms()) {
    if (form->name() == near) accepted = "the nearest known one is " + std::string(form->text);
  }
  throw Error("unknown law " + text::in_double_quotes(name), accepted);
}

/// How many parameters a form takes, and how many of the first carry a unit.
struct Count {
  std::size_t least, most, quantities;
};

Count count_of(const Form& form) {
  if (form.parameters == "column") return {2, 2, 0};
  if (form.parameters.ends_with('*')) return {2, k_any, k_any};
  const std::size_t all = form.parameters.size();
  return {all, all, std::min(form.parameters.find('n'), all)};
}

/// The parameters in order: the first wrong one is the one that is named.
std::vector<double> values_of(const Form& form, const std::vector<std::string_view>& given,
                              Dimension dimension, const ReadColumn& read_column) {
  if (form.parameters == "column") {
    return read_column(unquoted(given[0], form), unquoted(given[1], form));
  }
  std::vector<double> values;
  const bool list = form.parameters.ends_with('*');
  for (std::size_t i = 0; i < given.size(); ++i) {
    const char kind = list ? form.parameters[0] : form.parameters[i];
    std::string_view text = given[i];
    if (kind == 's') {
      const std::size_t colon = text.find(':');
      if (colon == std::string_view::npos) fail(text, "has no share before it", form.text);
      values.push_back(units::parse_quantity(text.substr(0, colon), Dimension::fraction));
      text.remove_prefix(colon + 1);
    }
    if (kind != 'n' && units::is_reciprocal(text, dimension)) {
      fail(text, "counts distance by fuel, which no law is written in", k_by_distance);
    }
    values.push_back(kind == 'n'   ? units::parse_quantity(text, Dimension::number)
                     : kind == 'w' ? difference(text, dimension)
                                   : place(text, dimension));
  }
  return values;
}

/// Refuses "78,5 %" of a list, which commas have made "78" and "5 %", as what it may be.
/// @param count_fits  whether the list is as long as it may be
void check_commas(const std::vector<std::string_view>& given, std::size_t quantities,
                  bool count_fits) {
  for (std::size_t i = 0; i + 1 < given.size() && (i < quantities || !count_fits); ++i) {
    if (given[i].empty()) continue;  // It may point nowhere, which no comma can touch.
    const text::LeadingNumber number = text::leading_number(given[i]);
    const char* const end = given[i].data() + given[i].size();
    const bool touching = given[i + 1].data() == end + 1 && !given[i + 1].empty() &&
                          given[i + 1][0] >= '0' && given[i + 1][0] <= '9';
    if (!touching || !number.rest.empty() || number.fault != text::NumberFault::none) continue;
    const std::string_view both(given[i].data(), given[i].size() + 1 + given[i + 1].size());
    const text::CommaFault comma = text::comma_fault(both);
    fail(both, comma.wrong + (count_fits ? ", or no unit before it" : ""),
         comma.advice + (count_fits ? ", or a unit with each number" : ""));
  }
}

Distribution law_of(const Parts& parts, Dimension dimension, const ReadColumn& read_column) {
  if (parts.name.empty()) {
    return exact(place(parts.quantity, dimension,
                       units::accepted_text(dimension) + " or a law such as normal(mean, sd)"));
  }
  const Form& form = form_of(parts.name);
  const std::vector<std::string_view> given = split(parts.inside);
  const Count count = count_of(form);
  const bool count_fits = given.size() >= count.least && given.size() <= count.most;
  check_commas(given, count.quantities, count_fits);
  if (!count_fits) {
    throw Error(std::string(form.name()) + " is given " + std::to_string(given.size()) +
                    (given.size() == 1 ? " parameter" : " parameters"),
                std::string(form.text));
  }
  const std::vector<double> values = values_of(form, given, dimension, read_column);
  return text::at(
      {}, [&] { return form.make(values); }, std::string(form.text));
}

}  // namespace

Distribution parse_distribution(std::string_view text, Dimension dimension,
                                const ReadColumn& read_column) {
  const Parts parts = take_apart(trimmed(text));
  Distribution law = law_of(parts, dimension, read_column);
  if (!parts.window) return law;
  const std::vector<std::string_view> bounds = split(*parts.window);
  check_commas(bounds, k_any, bounds.size() == 2);
  const auto refuse = [&](const std::string& wrong, std::string_view accepted = k_window_form) {
    throw Error("the window [" + text::cut_short(trimmed(*parts.window)) + "] " + wrong,
                std::string(accepted));
  };
  if (bounds.size() != 2) refuse("does not have two bounds");
  const double low = units::parse_quantity(bounds[0], dimension);
  const double high = units::parse_quantity(bounds[1], dimension);
  if (!(low < high)) refuse("has its low bound not below its high bound");
  try {
    law = truncated(law, low, high);
  } catch (const Error&) {  // the bounds are sound, so the window is empty
    refuse("holds none of the distribution", "a window that holds some of it");
  }
  if (law.law().steps().values == 1) {
    refuse("holds one measured value alone, which says nothing of scatter",
           "a window that holds two at least");
  }
  return law;
}

std::string law_names_text() {
  std::string text;
  for (const Form* form : forms()) {
    if (!text.empty()) text += ", ";
    text += form->text;
  }
  return text;
}

}  // namespace blendrisk::distributions
