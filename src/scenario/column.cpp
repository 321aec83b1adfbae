#include "scenario/column.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include "scenario/quoting.hpp"

namespace blendrisk::scenario {
namespace {

[[noreturn]] void fail(const std::string& file, std::size_t line, const std::string& wrong) {
  throw ColumnError(escaped(file) + ":" + std::to_string(line) + ": " + wrong);
}

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// Cells of one line; a doubled quote inside quotes is one quote (RFC 4180).
std::vector<std::string> cells(std::string_view line) {
  std::vector<std::string> result(1);
  bool inside = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '"') {
      if (inside && i + 1 < line.size() && line[i + 1] == '"') {
        result.back() += line[++i];
      } else {
        inside = !inside;
      }
    } else if (line[i] == ',' && !inside) {
      result.emplace_back();
    } else {
      result.back() += line[i];
    }
  }
  for (std::string& cell : result) cell = std::string(trimmed(cell));
  return result;
}

std::string unit_of(std::string_view column) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 5> endings{
      {{"_percent", " %"}, {"_l", " L"}, {"_ml", " mL"}, {"_gal", " gal"}, {"_l_per_h", " L/h"}}};
  for (const auto& [ending, unit] : endings) {
    if (column.ends_with(ending)) return std::string(unit);
  }
  return {};
}

bool is_bare_number(std::string_view text) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error != std::errc::invalid_argument && end == text.data() + text.size();
}

std::size_t position_of(const std::string& file, const std::vector<std::string>& header,
                        std::size_t line, const std::string& column) {
  const auto count = std::count(header.begin(), header.end(), column);
  std::string names;
  for (const std::string& name : header) names += (names.empty() ? "" : ", ") + name;
  if (count == 0) {
    fail(file, line, "no column " + quoted(column) + "; the columns are " + quoted(names, 200));
  }
  if (count > 1) {
    fail(file, line, "two columns are named " + quoted(column) + "; one is accepted");
  }
  const auto found = std::find(header.begin(), header.end(), column);
  return static_cast<std::size_t>(found - header.begin());
}

double value_of(const std::string& file, std::size_t line, const std::string& cell,
                const std::string& unit, units::Dimension dimension) {
  try {
    return units::parse_quantity(is_bare_number(cell) ? cell + unit : cell, dimension);
  } catch (const units::QuantityError& error) {
    fail(file, line,
         error.what() + std::string("; ") + error.accepted +
             ", or a number in a column whose name ends in its unit "
             "(_percent, _l, _ml, _gal, _l_per_h)");
  }
}

}  // namespace

std::vector<double> read_column(const std::string& file, std::string_view text,
                                const std::string& column, units::Dimension dimension) {
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  const std::string unit = unit_of(column);
  std::vector<double> values;
  bool have_header = false;
  std::size_t position = 0;
  for (std::size_t line = 1; !text.empty(); ++line) {
    const std::size_t end = text.find('\n');
    std::string_view row = text.substr(0, end);
    text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
    if (!row.empty() && row.back() == '\r') row.remove_suffix(1);
    if (trimmed(row).empty()) continue;
    const std::string why = unreadable_because(row);
    if (!why.empty()) fail(file, line, "the line " + quoted(row) + " " + why + "; CSV is accepted");
    const std::vector<std::string> row_cells = cells(row);
    if (!have_header) {
      position = position_of(file, row_cells, line, column);
      have_header = true;
    } else if (row_cells.size() <= position || row_cells[position].empty()) {
      fail(file, line, "has no " + quoted(column) + "; a value in every line is accepted");
    } else {
      values.push_back(value_of(file, line, row_cells[position], unit, dimension));
    }
  }
  if (values.empty()) {
    throw ColumnError(escaped(file) +
                      ": has no values; a line of column names and at least one "
                      "line of values are accepted");
  }
  return values;
}

}  // namespace blendrisk::scenario
