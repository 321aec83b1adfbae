#include "units/clock.hpp"

#include <charconv>
#include <cstddef>

#include "text/trimmed.hpp"

namespace blendrisk::units {
namespace {

bool all_digits(std::string_view text) {
  return text.find_first_not_of("0123456789") == std::string_view::npos;
}

double number(std::string_view text) {
  double value = 0.0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

/// "07", or as the last part "07.25".
std::optional<double> sixtieths(std::string_view part, bool last) {
  const std::string_view whole = part.substr(0, last ? part.find('.') : part.size());
  const std::string_view fraction = part.substr(whole.size());
  if (whole.size() != 2 || !all_digits(whole) || whole[0] > '5') return std::nullopt;
  if (!fraction.empty() && (fraction.size() < 2 || !all_digits(fraction.substr(1)))) {
    return std::nullopt;
  }
  return number(part);
}

}  // namespace

std::optional<double> clock_seconds(std::string_view text) {
  text = text::trimmed(text, text::k_any_white);
  const bool negative = text.starts_with('-');
  if (negative) text.remove_prefix(1);
  constexpr std::size_t k_longest = 20;
  std::size_t colon = text.find(':');
  if (text.size() > k_longest || colon == 0 || colon == std::string_view::npos) {
    return std::nullopt;
  }
  if (!all_digits(text.substr(0, colon))) return std::nullopt;
  double value = number(text.substr(0, colon));
  for (int parts = 1; colon != std::string_view::npos; ++parts) {
    if (parts == 3) return std::nullopt;
    text.remove_prefix(colon + 1);
    colon = text.find(':');
    const auto part = sixtieths(text.substr(0, colon), colon == std::string_view::npos);
    if (!part) return std::nullopt;
    value = 60.0 * value + *part;
  }
  return negative ? -value : value;
}

}  // namespace blendrisk::units
