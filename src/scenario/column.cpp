#include "scenario/column.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <deque>
#include <optional>
#include <utility>

#include "scenario/lines.hpp"
#include "text/number.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/clock.hpp"

namespace blendrisk::scenario {
namespace {

using text::trimmed;

[[noreturn]] void fail_at(const std::string& file, std::size_t line, const std::string& wrong) {
  throw ColumnError(at_line(text::escaped(file), line) + wrong);
}

/// Cells of one line, looked at in place; only those with quotes are copied.
class Cells {
 public:
  void part_at(char separator) { separator_ = separator; }
  void split(std::string_view line) {
    cells_.clear();
    copies_.clear();
    if (line.find('"') != std::string_view::npos) return split_quoted(line);
    for (bool more = true; more;) {
      const std::size_t end = line.find(separator_);
      more = end != std::string_view::npos;
      cells_.push_back(trimmed(line.substr(0, end)));
      if (more) line.remove_prefix(end + 1);
    }
  }
  const std::vector<std::string_view>& all() const { return cells_; }
  /// Empty where the line is too short.
  std::string_view at(std::size_t i) const { return i < cells_.size() ? cells_[i] : ""; }

 private:
  /// A doubled quote inside quotes is one quote (RFC 4180).
  void split_quoted(std::string_view line) {
    copies_.emplace_back();
    bool inside = false;
    for (std::size_t i = 0; i < line.size(); ++i) {
      if (line[i] == '"') {
        if (inside && i + 1 < line.size() && line[i + 1] == '"') {
          copies_.back() += line[++i];
        } else {
          inside = !inside;
        }
      } else if (line[i] == separator_ && !inside) {
        copies_.emplace_back();
      } else {
        copies_.back() += line[i];
      }
    }
    for (const std::string& copy : copies_) cells_.push_back(trimmed(copy));
  }

  char separator_ = ',';
  std::vector<std::string_view> cells_;
  std::deque<std::string> copies_;  // stay where they are as it grows
};

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
std::optional<std::size_t> position_of(const std::string& file,
                                       const std::vector<std::string>& header, std::size_t line,
                                       const std::string& column, bool required) {
  const auto count = std::count(header.begin(), header.end(), column);
  std::string names;
  for (const std::string& name : header) names += (names.empty() ? "" : ", ") + name;
  if (count == 0 && !required) return std::nullopt;
  if (count == 0) {
    fail_at(file, line,
            "no column " + text::in_quotes(column) + "; the columns are " +
                text::in_quotes(names, 200));
  }
  if (count > 1) {
    fail_at(file, line, "two columns are named " + text::in_quotes(column) + "; one is accepted");
  }
  const auto found = std::find(header.begin(), header.end(), column);
  return static_cast<std::size_t>(found - header.begin());
}

/// A column being read.
struct Reading {
  Wanted wanted;
  std::string unit;
  std::optional<std::size_t> position;
};

double value_of(const std::string& file, std::size_t line, std::string_view cell,
                const Reading& reading) {
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
  } catch (const units::QuantityError& wrong) {
    const bool comma = !text::first_with_comma(cell).empty();
    fail_at(file, line,
            wrong.what() + std::string("; ") + wrong.accepted +
                (comma ? ""
                       : ", or a number in a column whose name ends in its unit (" +
                             listed_endings() + ")"));
  }
}

class Reader {
 public:
  Reader(const std::string& file, const std::vector<Wanted>& wanted,
         const std::vector<std::string>& text_columns)
      : file_(file) {
    for (const Wanted& each : wanted) numbers_.push_back({each, unit_of(each.column), {}});
    for (const std::string& name : text_columns) texts_.push_back({{name}, {}, {}});
    result_.values.resize(numbers_.size());
    result_.texts.resize(texts_.size());
  }

  void take(std::size_t line, std::string_view row) {
    if (result_.names.empty()) cells_.part_at(separator_of(row));
    cells_.split(row);
    try {
      take_cells(line);
    } catch (const ColumnError&) {
      // A column may be called "#"; where the line does not fit, it was meant as a comment.
      if (!trimmed(row).starts_with('#')) throw;
      fail_at(file_, line,
              "the line " + text::in_quotes(row) +
                  " is a comment; a line of column names and lines of values alone are accepted");
    }
  }

  Columns finish() {
    if (!result_.lines.empty()) return std::move(result_);
    throw ColumnError(text::escaped(file_) +
                      ": has no values; a line of column names and at least one "
                      "line of values are accepted");
  }

 private:
  void take_cells(std::size_t line) {
    if (result_.names.empty()) return take_header(line);
    check_count(line);
    for (std::size_t i = 0; i < numbers_.size(); ++i) {
      const Reading& each = numbers_[i];
      if (!each.position) continue;
      const std::string_view cell = cells_.at(*each.position);
      if (cell.empty()) {
        fail_at(file_, line,
                "has no " + text::in_quotes(each.wanted.column) +
                    "; a value in every line is accepted");
      }
      result_.values[i].push_back(value_of(file_, line, cell, each));
    }
    for (std::size_t i = 0; i < texts_.size(); ++i) {
      result_.texts[i].emplace_back(cells_.at(*texts_[i].position));
    }
    result_.lines.push_back(line);
  }

  void take_header(std::size_t line) {
    for (const std::string_view name : cells_.all()) result_.names.emplace_back(name);
    for (std::vector<Reading>* kind : {&numbers_, &texts_}) {
      for (Reading& each : *kind) find(each, line);
    }
  }
  void find(Reading& column, std::size_t line) const {
    const Wanted& wanted = column.wanted;
    if (!wanted.or_else.empty()) {
      column.position = position_of(file_, result_.names, line, wanted.column, false);
      if (column.position) return;
      column.position = position_of(file_, result_.names, line, wanted.or_else, false);
      if (column.position) column.unit = unit_of(wanted.or_else);
      if (column.position) return;
    }
    column.position = position_of(file_, result_.names, line, wanted.column, wanted.required);
  }
  /// Empty cells at the end are what spreadsheets leave.
  void check_count(std::size_t line) const {
    const std::vector<std::string_view>& cells = cells_.all();
    for (std::size_t i = result_.names.size(); i < cells.size(); ++i) {
      if (cells[i].empty()) continue;
      fail_at(file_, line,
              "has " + std::to_string(cells.size()) + " cells under " +
                  std::to_string(result_.names.size()) +
                  " names; a cell a name is accepted, with decimal points (a decimal comma parts a "
                  "cell in two)");
    }
  }

  const std::string& file_;
  std::vector<Reading> numbers_, texts_;
  Cells cells_;
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

Columns read_columns(const std::string& file, std::string_view text,
                     const std::vector<Wanted>& wanted,
                     const std::vector<std::string>& text_columns) {
  text = without_mark(text);
  Reader reader(file, wanted, text_columns);
  for (std::size_t line = 1; !text.empty(); ++line) {
    const std::string_view row = next_line(text);
    if (trimmed(row).empty()) continue;
    const std::string why = text::unreadable_because(row);
    if (!why.empty())
      fail_at(file, line, "the line " + text::in_quotes(row) + " " + why + "; CSV is accepted");
    reader.take(line, row);
  }
  return reader.finish();
}

std::vector<double> read_column(const std::string& file, std::string_view text,
                                const std::string& column, units::Dimension dimension) {
  return std::move(read_columns(file, text, {{column, dimension}}).values.front());
}

}  // namespace blendrisk::scenario
