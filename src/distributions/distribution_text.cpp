#include "distributions/distribution_text.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <vector>

#include "distributions/form.hpp"
#include "text/letter_case.hpp"
#include "text/nearest.hpp"
#include "text/number.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::distributions {
namespace {

using text::same_word;
using units::Dimension;

constexpr std::size_t k_any = static_cast<std::size_t>(-1);
constexpr std::string_view k_of_a_fuel =
    "the limits of the standard that it is sold to as a law, such as uniform(51 %, 83 %), or "
    "tests(...) or measured(...) of the pump";
constexpr std::string_view k_window_form = "a window is written in [low, high]";

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
  std::string_view whole;
  std::string_view name;  // empty for a plain quantity
  std::string_view inside;
  std::string_view quantity;
  std::optional<std::string_view> window;  // between the brackets
};

/// What is between the brackets of "in [low, high]".
std::string_view window_of(std::string_view text) {
  const auto fail = [&] {
    throw TextError(text::in_double_quotes(text) + " is not a window", std::string(k_window_form));
  };
  if (!same_word(text.substr(0, 2), "in")) fail();
  const std::string_view bracket = trimmed(text.substr(2));
  if (!bracket.starts_with('[') || !bracket.ends_with(']')) fail();
  return bracket.substr(1, bracket.size() - 2);
}

Parts take_apart(std::string_view text) {
  Parts parts;
  parts.whole = text;
  const std::size_t open = find_unquoted(text, '(');
  if (open != std::string_view::npos) {
    const std::size_t close = find_unquoted(text, ')', open);
    if (close == std::string_view::npos) {
      throw TextError(text::in_double_quotes(text) + " has no closing parenthesis",
                      "one of " + law_names_text());
    }
    parts.name = trimmed(text.substr(0, open));
    parts.inside = text.substr(open + 1, close - open - 1);
    const std::string_view rest = trimmed(text.substr(close + 1));
    if (!rest.empty()) parts.window = window_of(rest);
    if (parts.name.empty()) {
      throw TextError(text::in_double_quotes(text) + " has no name before the parenthesis",
                      "one of " + law_names_text());
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

double quantity(std::string_view text, Dimension dimension) {
  try {
    return units::parse_quantity(text, dimension);
  } catch (const units::QuantityError& error) {
    throw TextError(error.what(), error.accepted);
  }
}

/// Whether an error says how to mend the very text, and not what is accepted at large.
bool is_advice(const units::QuantityError& error, Dimension dimension) {
  return error.accepted != units::accepted_text(dimension);
}

/// A place of the law, which a fuel's name may have been meant to give.
double place(std::string_view text, Dimension dimension) {
  if (dimension == Dimension::content && units::names_fuel(text)) {
    throw TextError(text::in_double_quotes(text) + " names a fuel, not a content",
                    std::string(k_of_a_fuel));
  }
  return quantity(text, dimension);
}

/// A standard deviation or scale: a difference of two values.
double difference(std::string_view text, Dimension dimension) {
  if (dimension == Dimension::content && units::names_fuel(text)) {
    throw TextError(
        text::in_double_quotes(text) + " is a fuel, where a difference of contents belongs",
        "a difference such as 3 %");
  }
  try {
    return units::parse_quantity(text, dimension);
  } catch (const units::QuantityError& error) {
    const bool content = dimension == Dimension::content && !is_advice(error, dimension);
    throw TextError(error.what(), content ? "a difference such as 3 %" : error.accepted);
  }
}

std::string unquoted(std::string_view text, const Form& form) {
  const bool enclosed = text.size() > 2 && text.front() == '"' && text.back() == '"' &&
                        text.find('"', 1) == text.size() - 1;
  if (!enclosed) {
    throw TextError(text::in_double_quotes(text) + " is not a name between double quotes",
                    std::string(form.text));
  }
  return std::string(text.substr(1, text.size() - 2));
}

const Form& form_of(const Parts& parts) {
  std::vector<std::string> names;
  for (const Form* form : forms()) names.emplace_back(form->name());
  const std::string near = text::nearest(parts.name, names);
  for (const Form* form : forms()) {
    if (same_word(form->name(), parts.name)) return *form;
    if (form->name() == near) {
      throw TextError("unknown law " + text::in_double_quotes(parts.name),
                      "the nearest known one is " + std::string(form->text));
    }
  }
  throw TextError("unknown law " + text::in_double_quotes(parts.name),
                  "one of " + law_names_text());
}

/// How many parameters a form takes, and how many of the first carry a unit.
struct Count {
  std::size_t least, most, quantities;
};

Count count_of(const Form& form) {
  if (form.parameters == "column") return {2, 2, 0};
  if (form.parameters == "p*") return {2, k_any, k_any};
  const std::size_t all = form.parameters.size();
  return {all, all, std::min(form.parameters.find('n'), all)};
}

/// The parameters in order: the first wrong one is the one that is named.
Distribution made(const Form& form, const std::vector<std::string_view>& given, Dimension dimension,
                  const ReadColumn& read_column) {
  if (form.parameters == "column") {
    return form.make(read_column(unquoted(given[0], form), unquoted(given[1], form)));
  }
  std::vector<double> values;
  for (std::size_t i = 0; i < given.size(); ++i) {
    const char kind = form.parameters == "p*" ? 'p' : form.parameters[i];
    values.push_back(kind == 'n'   ? quantity(given[i], Dimension::number)
                     : kind == 'w' ? difference(given[i], dimension)
                                   : place(given[i], dimension));
  }
  return form.make(values);
}

/// Refuses "78,5 %" of a list, which commas have made "78" and "5 %", as what it may be.
/// @param count  whether the list is as long as it may be
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
    if (!count_fits)
      throw TextError(text::in_double_quotes(both) + " " + comma.wrong, comma.advice);
    throw TextError(text::in_double_quotes(both) + " " + comma.wrong + ", or no unit before it",
                    comma.advice + ", or a unit with each number");
  }
}

Distribution law_of(const Parts& parts, Dimension dimension, const ReadColumn& read_column) {
  if (parts.name.empty()) {
    if (dimension == Dimension::content && units::names_fuel(parts.quantity)) {
      return exact(place(parts.quantity, dimension));
    }
    try {
      return exact(units::parse_quantity(parts.quantity, dimension));
    } catch (const units::QuantityError& error) {
      throw TextError(error.what(), is_advice(error, dimension)
                                        ? error.accepted
                                        : error.accepted + " or a law such as normal(mean, sd)");
    }
  }
  const Form& form = form_of(parts);
  const std::vector<std::string_view> given = split(parts.inside);
  const Count count = count_of(form);
  const bool count_fits = given.size() >= count.least && given.size() <= count.most;
  check_commas(given, count.quantities, count_fits);
  if (!count_fits) {
    const bool one = given.size() == 1;
    throw TextError(std::string(form.name()) + " is given " + std::to_string(given.size()) +
                        (one ? " parameter" : " parameters"),
                    std::string(form.text));
  }
  try {
    return made(form, given, dimension, read_column);
  } catch (const ParameterError& error) {
    throw TextError(error.what(), std::string(form.text));
  }
}

}  // namespace

Distribution parse_distribution(std::string_view text, Dimension dimension,
                                const ReadColumn& read_column) {
  const Parts parts = take_apart(trimmed(text));
  Distribution law = law_of(parts, dimension, read_column);
  if (!parts.window) return law;
  const std::vector<std::string_view> bounds = split(*parts.window);
  const std::string window = "the window [" + text::cut_short(trimmed(*parts.window)) + "]";
  check_commas(bounds, k_any, bounds.size() == 2);
  if (bounds.size() != 2) {
    throw TextError(window + " does not have two bounds", std::string(k_window_form));
  }
  const double low = quantity(bounds[0], dimension);
  const double high = quantity(bounds[1], dimension);
  if (!(low < high)) {
    throw TextError(window + " has its low bound not below its high bound",
                    std::string(k_window_form));
  }
  try {
    law = truncated(law, low, high);
  } catch (const ParameterError&) {  // the bounds are sound, so the window is empty
    throw TextError(window + " holds none of the distribution", "a window that holds some of it");
  }
  if (law.law().steps().values == 1) {
    throw TextError(window + " holds one measured value alone, which says nothing of scatter",
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
