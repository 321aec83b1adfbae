#include "units/tank_share.hpp"

#include <cmath>
#include <string>

#include "text/letter_case.hpp"
#include "text/number.hpp"
#include "text/trimmed.hpp"
#include "units/spelling.hpp"

namespace blendrisk::units {
namespace {

/// Takes a word off the end of `text`, whatever its case; whether it was there.
bool take_last(std::string_view& text, std::string_view word) {
  if (text.size() < word.size()) return false;
  if (!text::same_word(text.substr(text.size() - word.size()), word)) return false;
  text = text::trimmed(text.substr(0, text.size() - word.size()), text::k_any_white);
  return true;
}

}  // namespace

std::optional<double> tank_share(std::string_view text) {
  text = text::trimmed(text, text::k_any_white);
  if (!take_last(text, "tank")) return std::nullopt;
  const bool article = take_last(text, " the") || take_last(text, " a");
  if (!take_last(text, "of") && article) return std::nullopt;
  const text::LeadingNumber first = text::leading_number(text);
  if (first.fault != text::NumberFault::none) return std::nullopt;
  double share = first.value;
  std::string_view rest = first.rest;
  if (rest.starts_with('/')) {
    const text::LeadingNumber second = text::leading_number(text::trimmed(rest.substr(1)));
    if (second.fault != text::NumberFault::none) return std::nullopt;
    share /= second.value;
    rest = second.rest;
  } else if (spelled(rest) == "%") {
    share /= 100.0;
    rest = {};
  }
  if (!rest.empty() || !std::isfinite(share)) return std::nullopt;
  return share;
}

}  // namespace blendrisk::units
