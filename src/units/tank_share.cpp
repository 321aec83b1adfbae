#include "units/tank_share.hpp"

#include <cmath>
#include <string>

#include "units/letter_case.hpp"
#include "units/number.hpp"
#include "units/spelling.hpp"
#include "units/trimmed.hpp"

namespace blendrisk::units {
namespace {

/// Takes a word off the end of `text`, whatever its case; whether it was there.
bool take_last(std::string_view& text, std::string_view word) {
  if (text.size() < word.size()) return false;
  if (!same_word(text.substr(text.size() - word.size()), word)) return false;
  text = trimmed(text.substr(0, text.size() - word.size()), k_any_white);
  return true;
}

}  // namespace

std::optional<double> tank_share(std::string_view text) {
  text = trimmed(text, k_any_white);
  if (!take_last(text, "tank")) return std::nullopt;
  const bool article = take_last(text, " the") || take_last(text, " a");
  if (!take_last(text, "of") && article) return std::nullopt;
  const LeadingNumber first = leading_number(text);
  if (first.fault != NumberFault::none) return std::nullopt;
  double share = first.value;
  std::string_view rest = first.rest;
  if (rest.starts_with('/')) {
    const LeadingNumber second = leading_number(trimmed(rest.substr(1)));
    if (second.fault != NumberFault::none) return std::nullopt;
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
