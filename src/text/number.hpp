#pragma once

#include <string>
#include <string_view>

/// Numbers in decimal notation and without the locale, at the head of a text and as one, and commas
/// in them.
namespace blendrisk::text {

enum class NumberFault { none, missing, out_of_range, not_finite, comma };

struct LeadingNumber {
  double value = 0.0;
  std::string_view rest;  ///< what follows, without white space at its ends
  NumberFault fault = NumberFault::none;
};

/// The number that `text` begins with. A comma between it and a digit is a fault: it may part
/// decimals, thousands or two numbers.
LeadingNumber leading_number(std::string_view text);

struct CommaFault {
  std::string wrong;   ///< "has a decimal comma"
  std::string advice;  ///< "write 6.5 L"
};

/// What is wrong with a text that begins with a number with a comma, and what to write: "6.5 L" for
/// "6,5 L", and "1000 L or 1.000 L" for "1,000 L", which may be either.
CommaFault comma_fault(std::string_view text);

/// The first piece of a text in which a comma stands between two digits, from its number to the
/// next mark: "6,5 L" of "normal(6,5 L, 0,8 L)". Empty where there is none.
std::string_view first_with_comma(std::string_view text);

/// `value` in as few digits as give it back, or in `digits` significant ones at most; no "-0".
std::string number_text(double value);
std::string number_text(double value, int digits);

}  // namespace blendrisk::text
