#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "answer/format.hpp"
#include "estimate/result.hpp"

/// An answer as typed values and words by id, whatever shows it.
namespace blendrisk::answer {

enum class Kind {
  nothing,
  words,   ///< an id and what stands in its places
  joined,  ///< sentences one after another
  text,    ///< as it is
  given,   ///< as a user wrote it, volumes in the units asked for
  count,
  number,     ///< to `digits` significant ones
  fixed,      ///< to `digits` decimals
  percent,    ///< a fraction, to `digits` significant ones
  content,    ///< a fraction in percent, to `digits` decimals
  chance,     ///< an estimate
  interval,   ///< of an estimate
  volume,     ///< litres
  dispenser,  ///< litres, as a dispenser shows them
  gauge,      ///< litres, as a gauge shows them
  time,       ///< seconds
  distance    ///< kilometres
};

struct Value {
  Kind kind = Kind::nothing;
  std::string text{};  ///< or the id
  double number = 0.0;
  int digits = 0;
  bool bare = false;  ///< without its unit
  estimate::Estimate estimate{};
  std::vector<Value> parts{};
  std::string source{};  ///< where the JSON of a command has it: "fill/safe_amount"

  explicit operator bool() const { return kind != Kind::nothing; }
  Value from(std::string where) const {
    Value value = *this;
    value.source = std::move(where);
    return value;
  }
  /// Of words that say a number.
  Value from(std::string where, double value) const {
    Value marked = from(std::move(where));
    marked.number = value;
    return marked;
  }
  Value without_unit() const {
    Value value = *this;
    value.bare = true;
    return value;
  }
};

template <class... Values>
Value say(std::string_view id, const Values&... values) {
  return {.kind = Kind::words, .text = std::string(id), .parts = {values...}};
}
/// Sentences with a space between; those that are nothing are left out.
inline Value joined(std::vector<Value> parts) {
  return {.kind = Kind::joined, .parts = std::move(parts)};
}
inline Value text(std::string_view words) {
  return {.kind = Kind::text, .text = std::string(words)};
}
inline Value given(std::string_view words) {
  return {.kind = Kind::given, .text = std::string(words)};
}
inline Value count(std::uint64_t number) {
  return {.kind = Kind::count, .text = std::to_string(number)};
}
inline Value number(double value, int digits = 4) {
  return {.kind = Kind::number, .number = value, .digits = digits};
}
inline Value fixed(double value, int decimals) {
  return {.kind = Kind::fixed, .number = value, .digits = decimals};
}
inline Value percent(double fraction, int digits = 4) {
  return {.kind = Kind::percent, .number = fraction, .digits = digits};
}
inline Value content(double fraction) {
  return percent(fraction, 6);
}
inline Value content(double fraction, int decimals) {
  return {.kind = Kind::content, .number = fraction, .digits = decimals};
}
inline Value chance(const estimate::Estimate& estimate) {
  return {.kind = Kind::chance, .number = estimate.chance, .estimate = estimate};
}
/// One that is known to three digits.
inline Value chance(double value) {
  return chance(estimate::Estimate{value, 1e-3 * value, {value, value}});
}
inline Value interval(const estimate::Estimate& estimate) {
  return {.kind = Kind::interval, .estimate = estimate};
}
inline Value volume(double litres) {
  return {.kind = Kind::volume, .number = litres};
}
inline Value dispenser(double litres) {
  return {.kind = Kind::dispenser, .number = litres};
}
inline Value gauge(double litres) {
  return {.kind = Kind::gauge, .number = litres};
}
inline Value time(double seconds) {
  return {.kind = Kind::time, .number = seconds};
}
inline Value distance(double km) {
  return {.kind = Kind::distance, .number = km};
}

/// The value for a reader, in one line.
std::string shown(const Value& value, UnitSystem units);
/// Of one that has no units.
inline std::string shown(const Value& value) {
  return shown(value, UnitSystem::metric);
}
/// With the parts shown by the caller: for pages, where numbers carry marks.
std::string filled(const Value& value, const std::vector<std::string>& parts);

struct Row {
  Value label, value;
  bool one_line = false;  ///< cut where it does not fit
};

/// Columns of values under one heading; a cell may be nothing.
struct Grid {
  std::vector<std::size_t> widths;  ///< from the left; none: as wide as needed, from the right
  std::vector<std::vector<Value>> lines;
  std::vector<Value> head{};  ///< one a column
};

/// Rows with a name, a grid, paragraphs and items, in this order.
struct Section {
  Value heading{};           ///< nothing: an empty line alone
  std::size_t columns = 16;  ///< of the names of rows
  std::vector<Row> rows{};   ///< those with a chance show its interval
  Grid grid{};
  std::vector<Value> text{};
  std::size_t indent = 0;  ///< of the text
  std::vector<Value> items{};
};

/// For where a file holds the answer.
struct Paragraph {
  Value value;
  std::size_t indent = 0;
};

struct Description {
  std::string title;
  std::vector<Value> verdict;  ///< a paragraph each
  std::vector<Value> ways;     ///< items right below
  std::vector<Section> sections;
};

}  // namespace blendrisk::answer
