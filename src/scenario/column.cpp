#include "scenario/column.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <deque>
#include <optional>
#include <utility>

#include "text/error.hpp"
#include "text/lines.hpp"
#include "text/number.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/clock.hpp"

namespace blendrisk::scenario {
namespace {

using text::Error;
using text::trimmed;

/// A cell without its quotes; a doubled quote inside quotes is one quote (RFC 4180).
std::string unquoted(std::string_view cell) {
  std::string text;
  bool inside = false;
  for (std::size_t i = 0; i < cell.size(); ++i) {
    if (cell[i] != '"') {
      text += cell[i];
    } else if (inside && i + 1 < cell.size() && cell[i + 1] == '"') {
      text += cell[++i];
    } else {
      inside = !inside;
    }
  }
  return text;
}

constexpr std::array<std::pair<std::string_view, std::string_view>, 7> k_endings{
    {{"_percent", "%"},
     {"_l", "L"},
     {"_ml", "mL"},
     {"_gal", "gal"},
     {"_l_per_h", "L/h"},
     {"_s", "s"},
     {"_min", "min"}}};

std::string unit_of(std::string_view column) {
  for (const auto& [ending, unit] : k_endings) {
    if (column.ends_with(ending)) return std::string(unit);
  }
  return {};
}

std::string listed_endings() {
  std::string list;
  for (const auto& [ending, unit] : k_endings) {
    list.append(list.empty() ? "" : ", ").append(ending);
  }
  return list;
}

/// None for an absent column that may be.
std::optional<std::size_t> position_of(const std::vector<std::string>& header,
                                       const std::string& column, bool required) {
  const auto count = std::count(header.begin(), header.end(), column);
  if (count == 0 && !required) return std::nullopt;
  if (count == 0) {
    std::string names;
    for (const std::string& name : header) names += (names.empty() ? "" : ", ") + name;
    throw Error("no column " + text::in_quotes(column),
                "the columns are " + text::in_quotes(names, 200));
  }
  if (count > 1) {
    throw Error("two columns are named " + text::in_quotes(column), "one is accepted");
  }
  return std::find(header.begin(), header.end(), column) - header.begin();
}

/// A column being read.
struct Reading {
  Wanted wanted;
  std::string unit;
  std::optional<std::size_t> position;
};

double value_of(std::string_view cell, const Reading& reading) {
  double bare = 0.0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), bare);
  const bool is_bare = error != std::errc::invalid_argument && end == cell.data() + cell.size();
  if (is_bare && error == std::errc() && std::isfinite(bare)) {
    const auto value = units::from_unit(bare, reading.unit, reading.wanted.dimension);
    if (value) return *value;
  }
  if (reading.wanted.dimension == units::Dimension::time) {
    if (const auto seconds = units::clock_seconds(cell)) return *seconds;
  }
  try {
    const std::string text(cell);
    const std::string unit = reading.unit.empty() ? "" : " " + reading.unit;
    return units::parse_quantity(is_bare ? text + unit : text, reading.wanted.dimension);
  } catch (const Error& wrong) {
    if (!text::first_with_comma(cell).empty()) throw;
    throw Error(wrong.wrong, wrong.accepted +
                                 ", or a number in a column whose name ends in its unit (" +
                                 listed_endings() + ")");
  }
}

class Reader {
 public:
  Reader(const std::vector<Wanted>& wanted, const std::vector<std::string>& text_columns) {
    for (const Wanted& each : wanted) numbers_.push_back({each, unit_of(each.column), {}});
    for (const std::string& name : text_columns) texts_.push_back({{name}, {}, {}});
    result_.values.resize(numbers_.size());
    result_.texts.resize(texts_.size());
  }

  void take(std::size_t line, std::string_view row) {
    const std::string why = text::unreadable_because(row);
    if (!why.empty()) {
      throw Error("the line " + text::in_quotes(row) + " " + why, "CSV is accepted");
    }
    const bool is_header = result_.names.empty();
    if (is_header) separator_ = separator_of(row);
    text::take_pieces(cells_, row, separator_);
    copies_.clear();
    for (std::string_view& cell : cells_) {
      if (cell.find('"') == std::string_view::npos) continue;
      cell = trimmed(copies_.emplace_back(unquoted(cell)));
    }
    try {
      if (is_header) {
        take_header();
      } else {
        take_values(line);
      }
    } catch (const Error&) {
      // A column may be called "#"; where the line does not fit, it was meant as a comment.
      if (!trimmed(row).starts_with('#')) throw;
      throw Error("the line " + text::in_quotes(row) + " is a comment",
                  "a line of column names and lines of values alone are accepted");
    }
  }

  Columns finish() {
    if (!result_.lines.empty()) return std::move(result_);
    throw Error("has no values",
                "a line of column names and at least one line of values are accepted");
  }

 private:
  void take_values(std::size_t line) {
    check_count();
    // Empty where the line is too short.
    const auto cell_of = [&](const Reading& each) {
      return *each.position < cells_.size() ? cells_[*each.position] : std::string_view();
    };
    for (std::size_t i = 0; i < numbers_.size(); ++i) {
      const Reading& each = numbers_[i];
      if (!each.position) continue;
      const std::string_view cell = cell_of(each);
      if (cell.empty()) {
        throw Error("has no " + text::in_quotes(each.wanted.column),
                    "a value in every line is accepted");
      }
      result_.values[i].push_back(value_of(cell, each));
    }
    for (std::size_t i = 0; i < texts_.size(); ++i) {
      result_.texts[i].emplace_back(cell_of(texts_[i]));
    }
    result_.lines.push_back(line);
  }

  void take_header() {
    result_.names.assign(cells_.begin(), cells_.end());
    for (std::vector<Reading>* kind : {&numbers_, &texts_}) {
      for (Reading& each : *kind) find(each);
    }
  }

  void find(Reading& column) const {
    const Wanted& wanted = column.wanted;
    const bool alone = wanted.or_else.empty();
    column.position = position_of(result_.names, wanted.column, alone && wanted.required);
    if (column.position || alone) return;
    column.position = position_of(result_.names, wanted.or_else, false);
    if (column.position) {
      column.unit = unit_of(wanted.or_else);
    } else {
      position_of(result_.names, wanted.column, wanted.required);
    }
  }

  /// Empty cells at the end are what spreadsheets leave.
  void check_count() const {
    for (std::size_t i = result_.names.size(); i < cells_.size(); ++i) {
      if (cells_[i].empty()) continue;
      throw Error("has " + std::to_string(cells_.size()) + " cells under " +
                      std::to_string(result_.names.size()) + " names",
                  "a cell a name is accepted, with decimal points (a decimal comma parts a cell "
                  "in two)");
    }
  }

  std::vector<Reading> numbers_, texts_;
  char separator_ = ',';
  std::vector<std::string_view> cells_;  // of the line
  std::deque<std::string> copies_;       // of cells with quotes; stay where they are as it grows
  Columns result_;
};

}  // namespace

char separator_of(std::string_view header) {
  bool inside = false;
  for (const char c : header) {
    if (c == '"') inside = !inside;
    if (!inside && (c == ',' || c == ';')) return c;
  }
  return ',';
}

bool names_column(std::string_view text, std::string_view column) {
  text = text::without_mark(text);
  std::string_view header;
  while (header.empty() && !text.empty()) header = trimmed(text::next_line(text));
  std::vector<std::string_view> cells;
  text::take_pieces(cells, header, separator_of(header));
  return std::ranges::any_of(
      cells, [&](std::string_view cell) { return trimmed(unquoted(cell)) == column; });
}

Columns read_columns(const std::string& file, std::string_view text,
                     const std::vector<Wanted>& wanted,
                     const std::vector<std::string>& text_columns) {
  text = text::without_mark(text);
  Reader reader(wanted, text_columns);
  text::Place place{file};
  while (!text.empty()) {
    const std::string_view row = text::next_line(text);
    ++place.line;
    if (!trimmed(row).empty()) text::at(place, [&] { reader.take(place.line, row); });
  }
  return text::at({file}, [&] { return reader.finish(); });
}

std::vector<double> read_column(const std::string& file, std::string_view text,
                                const std::string& column, units::Dimension dimension) {
  return std::move(read_columns(file, text, {{column, dimension}}).values.front());
}

}  // namespace blendrisk::scenario
