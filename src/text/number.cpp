#include "text/number.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <system_error>

#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::text {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

std::string without(std::string text, char mark) {
  text.erase(std::remove(text.begin(), text.end(), mark), text.end());
  return text;
}

/// Whether every comma of a number parts three digits.
bool parts_thousands(std::string_view number) {
  const std::size_t point = std::min(number.find('.'), number.size());
  std::size_t digits = 0;
  bool any = false;
  for (std::size_t i = point; i-- > 0;) {
    if (number[i] != ',') {
      ++digits;
      continue;
    }
    if (digits != 3) return false;
    digits = 0;
    any = true;
  }
  return any && digits > 0 && digits <= 3;
}

/// The number with a point for its comma and, where it may be that too, with none; empty where it
/// can be neither.
std::string mended(std::string_view text) {
  std::size_t from = 0;
  while (from < text.size() && (text[from] == '+' || text[from] == '-')) ++from;
  std::size_t end = from;
  while (end < text.size() && (is_digit(text[end]) || text[end] == '.' || text[end] == ',')) ++end;
  const std::string number(text.substr(from, end - from));
  const std::string sign(text.substr(0, from));
  // Advice is plain text: a unit of other bytes is left out of it.
  const bool plain = std::all_of(text.begin() + static_cast<std::ptrdiff_t>(end), text.end(),
                                 [](char c) { return c >= 0x20 && c < 0x7F; });
  const std::string unit(plain ? text.substr(end) : std::string_view());
  const std::size_t comma = number.find(',');
  if (comma == std::string::npos || comma == 0 || comma + 1 == number.size()) return {};
  const bool thousands = parts_thousands(number);
  if (number.find_first_of(".,", comma + 1) != std::string::npos) {
    return thousands ? sign + without(number, ',') + unit : std::string();
  }
  std::string decimal = without(number, '.');
  decimal[decimal.find(',')] = '.';
  const std::string as_decimal = sign + decimal + unit;
  const bool points = number.find('.') != std::string::npos;
  if (points || !thousands || number.front() == '0') return as_decimal;
  return sign + without(number, ',') + unit + " or " + as_decimal;
}

}  // namespace

LeadingNumber leading_number(std::string_view text) {
  LeadingNumber number;
  if (text.starts_with('+') && !text.substr(1).starts_with('-')) text.remove_prefix(1);
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number.value);
  const std::string_view after = text.substr(static_cast<std::size_t>(end - text.data()));
  number.rest = trimmed(after, k_any_white);
  if (error == std::errc::result_out_of_range) {
    number.fault = NumberFault::out_of_range;
  } else if (error != std::errc()) {
    number.fault = NumberFault::missing;
  } else if (!std::isfinite(number.value)) {
    number.fault = NumberFault::not_finite;
  } else if (after.size() > 1 && after[0] == ',' && is_digit(after[1])) {
    number.fault = NumberFault::comma;
  }
  return number;
}

CommaFault comma_fault(std::string_view text) {
  const std::string better = mended(text);
  if (better.empty()) {
    return {"has commas between its digits", "a number with a decimal point and no other mark"};
  }
  if (better.find(" or ") != std::string::npos) {
    return {"has a comma in its number", "write " + cut_short(better) + ", whichever is meant"};
  }
  return {"has a decimal comma", "write " + cut_short(better)};
}

std::string_view first_with_comma(std::string_view text) {
  for (std::size_t i = 1; i + 1 < text.size(); ++i) {
    if (text[i] != ',' || !is_digit(text[i - 1]) || !is_digit(text[i + 1])) continue;
    std::size_t from = i;
    while (from > 0 && (is_digit(text[from - 1]) || text[from - 1] == '.')) --from;
    std::size_t end = i + 1;
    while (end < text.size() && (is_digit(text[end]) || text[end] == '.' || text[end] == ','))
      ++end;
    if (end > 0 && text[end - 1] == ',') --end;
    const std::size_t mark = std::min(text.find_first_of(",;:()[]", end), text.size());
    return trimmed(text.substr(from, mark - from), k_any_white);
  }
  return {};
}

std::string number_text(double value) {
  std::array<char, 40> digits{};
  char* end = std::to_chars(digits.data(), digits.data() + digits.size(), value + 0.0).ptr;
  return {digits.data(), end};
}

std::string number_text(double value, int digits) {
  std::array<char, 40> buffer{};
  char* end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value + 0.0,
                            std::chars_format::general, digits)
                  .ptr;
  return {buffer.data(), end};
}

}  // namespace blendrisk::text
