#pragma once

#include <algorithm>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <limits>
#include <stdexcept>
#include <string>
#include <utility>

/// What the library uses of C++20 that libc++ 13, which compiles for a browser, lacks. Included
/// before every file of that build, and of no other; it goes when the compiler's library has them.
/// It stands in `std`, which the standard forbids to programs, so that no file has to know of it.
namespace std {

/// [bit.cast]
template <class To, class From>
To bit_cast(const From& from) noexcept {
  static_assert(sizeof(To) == sizeof(From));
  To to;
  memcpy(&to, &from, sizeof(To));
  return to;
}

/// [thread.jthread] where there are no threads: the work is done at once.
class jthread {
 public:
  template <class Work, class... Arguments>
  explicit jthread(const Work& work, const Arguments&... arguments) {
    work(arguments...);
  }
};

/// [algorithms], of ranges and as far as used.
namespace ranges {

template <class Range, class Projection>
auto min_element(Range& range, std::less<> less, Projection projection) {
  return std::min_element(range.begin(), range.end(), [&](const auto& a, const auto& b) {
    return less(invoke(projection, a), invoke(projection, b));
  });
}

template <class Range, class Value>
auto count(const Range& range, const Value& value) {
  return std::count(range.begin(), range.end(), value);
}

template <class Range, class Predicate>
bool any_of(const Range& range, Predicate predicate) {
  return std::any_of(range.begin(), range.end(), predicate);
}

template <class Range, class Predicate>
bool all_of(const Range& range, Predicate predicate) {
  return std::all_of(range.begin(), range.end(), predicate);
}

}  // namespace ranges

/// [charconv.from.chars], format general, by strtod, which rounds as it has to there.
inline from_chars_result from_chars(const char* first, const char* last, double& value) {
  const auto digit = [&](const char* at) { return at != last && *at >= '0' && *at <= '9'; };
  const auto digits = [&](const char* at) {
    while (digit(at)) ++at;
    return at;
  };
  const char* const start = first + (first != last && *first == '-' ? 1 : 0);
  const char* end = digits(start);
  bool any = end != start;
  if (end != last && *end == '.') {
    const char* const after = digits(end + 1);
    any = any || after != end + 1;
    if (any) end = after;
  }
  if (!any) return {first, errc::invalid_argument};
  if (end != last && (*end == 'e' || *end == 'E')) {
    const char* const power = end + 1 + (end + 1 != last && (end[1] == '+' || end[1] == '-'));
    if (digit(power)) end = digits(power);
  }
  const double read = strtod(string(first, end).c_str(), nullptr);
  const bool zero =
      find_if(first, end, [](char c) { return (c >= '1' && c <= '9') || c == 'e' || c == 'E'; }) ==
          end ||
      read != 0.0;
  if (isinf(read) || (!zero && *find_if(first, end, [](char c) { return c >= '1'; }) < 'A')) {
    return {end, errc::result_out_of_range};
  }
  value = read;
  return {end, errc()};
}

/// [charconv.to.chars] by printf, which is exact there.
inline to_chars_result printed(char* first, char* last, const char* text, int length) {
  if (last - first < length) return {last, errc::value_too_large};
  return {copy(text, text + length, first), errc()};
}

inline to_chars_result to_chars(char* first, char* last, double value, chars_format format,
                                int precision) {
  char text[1200];
  const char* const how = format == chars_format::fixed        ? "%.*f"
                          : format == chars_format::scientific ? "%.*e"
                                                               : "%.*g";
  return printed(first, last, text, snprintf(text, sizeof text, how, precision, value));
}

/// The shortest that reads as the same value; of two equally short ones the fixed.
inline to_chars_result to_chars(char* first, char* last, double value) {
  char scientific[40];
  int precision = 0;
  int length = 0;
  do {
    length = snprintf(scientific, sizeof scientific, "%.*e", precision, value);
  } while (strtod(scientific, nullptr) != value && ++precision < 17 && value == value);
  const char* const e = strchr(scientific, 'e');
  if (e == nullptr) return printed(first, last, scientific, length);
  // The digits of the scientific form, zeros beyond them.
  const int power = atoi(e + 1);
  string fixed(scientific, scientific + (value < 0.0 ? 1 : 0));
  string digits;
  for (const char* at = scientific; at != e; ++at) {
    if (*at >= '0' && *at <= '9') digits += *at;
  }
  const int count = static_cast<int>(digits.size());
  if (power < 0) {
    fixed += "0." + string(static_cast<size_t>(-power - 1), '0') + digits;
  } else if (power >= count - 1) {
    // Past 2^53 the exact digits stand in place of the zeros.
    char whole[400];
    snprintf(whole, sizeof whole, "%.0f", abs(value));
    fixed += whole;
  } else {
    fixed += digits.substr(0, static_cast<size_t>(power) + 1) + "." +
             digits.substr(static_cast<size_t>(power) + 1);
  }
  const bool is_fixed = static_cast<int>(fixed.size()) <= length;
  return is_fixed ? printed(first, last, fixed.data(), static_cast<int>(fixed.size()))
                  : printed(first, last, scientific, length);
}

}  // namespace std

/// Boost.Math's errors without its own texts, which take streams and locales into the module. What
/// is thrown is no answer, as it is of the program.
namespace boost::math::policies {

template <class T>
T user_domain_error(const char*, const char* message, const T&) {
  throw std::domain_error(message);
}
template <class T>
T user_pole_error(const char*, const char* message, const T&) {
  throw std::domain_error(message);
}
template <class T, class Target>
T user_rounding_error(const char*, const char* message, const T&, const Target&) {
  throw std::domain_error(message);
}

}  // namespace boost::math::policies
