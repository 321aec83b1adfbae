#include "scenario/column.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <utility>

#include "text/csv.hpp"
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

constexpr std::array<std::pair<std::string_view, std::string_view>, 9> k_endings{
    {{"_percent", "%"},
     {"_l", "L"},
     {"_ml", "mL"},
     {"_gal", "gal"},
     {"_l_per_h", "L/h"},
     {"_s", "s"},
     {"_min", "min"},
     {"_km", "km"},
     {"_mi", "mi"}}};

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
    throw Error("no column " + text::in_quotes(column),
                "the columns are " + text::in_quotes(text::listed(header), 200));
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

class Reader {
 public:
  Reader(const std::vector<Wanted>& wanted, const std::vector<std::string>& text_columns) {
    for (const Wanted& each : wanted) numbers_.push_back({each, unit_of(each.column), {}});
    for (const std::string& name : text_columns) texts_.push_back({{name}, {}, {}});
    result_.values.resize(numbers_.size());
    result_.texts.resize(texts_.size());
  }

  void take_header(const std::vector<std::string>& names) {
    result_.names = names;
    for (std::vector<Reading>* kind : {&numbers_, &texts_}) {
      for (Reading& each : *kind) find(each);
    }
  }

  void take(const text::CsvRows& rows) {
    for (std::size_t i = 0; i < numbers_.size(); ++i) {
      const Reading& each = numbers_[i];
      if (!each.position) continue;
      const std::string_view cell = rows.cell(*each.position);
      if (cell.empty()) {
        throw Error("has no " + text::in_quotes(each.wanted.column),
                    "a value in every line is accepted");
      }
      result_.values[i].push_back(cell_value(cell, each.unit, each.wanted.dimension));
    }
    for (std::size_t i = 0; i < texts_.size(); ++i) {
      result_.texts[i].emplace_back(rows.cell(*texts_[i].position));
    }
    result_.lines.push_back(rows.line());
  }

  Columns finish() {
    if (!result_.lines.empty()) return std::move(result_);
    throw Error("has no values",
                "a line of column names and at least one line of values are accepted");
  }

 private:
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

  std::vector<Reading> numbers_, texts_;
  Columns result_;
};

}  // namespace

std::string unit_of(std::string_view column) {
  for (const auto& [ending, unit] : k_endings) {
    if (column.ends_with(ending)) return std::string(unit);
  }
  return {};
}

double cell_value(std::string_view cell, const std::string& unit, units::Dimension dimension) {
  double bare = 0.0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), bare);
  const bool is_bare = error != std::errc::invalid_argument && end == cell.data() + cell.size();
  if (is_bare && error == std::errc() && std::isfinite(bare)) {
    const auto value = units::from_unit(bare, unit, dimension);
    if (value) return *value;
  }
  if (dimension == units::Dimension::time) {
    if (const auto seconds = units::clock_seconds(cell)) return *seconds;
  }
  try {
    const std::string text(cell);
    return units::parse_quantity(is_bare && !unit.empty() ? text + " " + unit : text, dimension);
  } catch (const Error& wrong) {
    if (!text::first_with_comma(cell).empty()) throw;
    throw Error(wrong.wrong, wrong.accepted +
                                 ", or a number in a column whose name ends in its unit (" +
                                 listed_endings() + ")");
  }
}

bool names_column(std::string_view text, std::string_view column) {
  text = text::without_mark(text);
  std::string_view header;
  while (header.empty() && !text.empty()) header = trimmed(text::next_line(text));
  std::vector<std::string_view> cells;
  text::take_pieces(cells, header, text::separator_of(header));
  return std::ranges::any_of(
      cells, [&](std::string_view cell) { return trimmed(text::unquoted(cell)) == column; });
}

Columns read_columns(const std::string& file, std::string_view text,
                     const std::vector<Wanted>& wanted,
                     const std::vector<std::string>& text_columns) {
  Reader reader(wanted, text_columns);
  text::CsvRows rows(file, text);
  if (!rows.names().empty()) rows.here([&] { reader.take_header(rows.names()); });
  while (rows.next()) rows.here([&] { reader.take(rows); });
  return text::at({file}, [&] { return reader.finish(); });
}

std::vector<double> read_column(const std::string& file, std::string_view text,
                                const std::string& column, units::Dimension dimension) {
  return std::move(read_columns(file, text, {{column, dimension}}).values.front());
}

}  // namespace blendrisk::scenario
