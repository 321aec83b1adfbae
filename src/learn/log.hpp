#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "scenario/read.hpp"
#include "scenario/scenario.hpp"

/// A shop's log: one row a fill, of what was known before it and what was tested after it.
namespace blendrisk::learn {

/// The columns of numbers. A column is named by the words here and, where its cells do not carry
/// their units, the unit's ending: indicated_l, indicated_gal.
enum class LogColumn : std::size_t {
  indicated,       ///< litres; the gauge before the fill
  distance_left,   ///< kilometres; the trip computer's range before the fill
  shown,           ///< litres; the dispenser's figure
  heel,            ///< litres; what was truly left, drained or measured
  pump_test,       ///< fraction; a test of what the pump gave (also named content_percent)
  reading_before,  ///< fraction; the sensor before the fill
  reading,         ///< fraction; the sensor after it, settled
  landed_test,     ///< fraction; a test of the tank after it
  end
};

/// A column of words, each kept once. An empty cell is the word "".
struct LogWords {
  std::vector<std::string> names;     ///< in the order in which they first stand
  std::vector<std::uint32_t> of_row;  ///< one a row, into names; empty: there is no such column

  bool any() const { return !of_row.empty(); }
  /// "" where there is no such column.
  std::string_view at(std::size_t row) const {
    return of_row.empty() ? std::string_view() : std::string_view(names[of_row[row]]);
  }
};

/// One fill. Texts live in the log.
struct LogRow {
  std::size_t line = 0;     ///< of the file, from 1
  std::optional<long> day;  ///< since 1970-01-01
  std::string_view car, pump, group;
  std::optional<double> indicated_l, distance_left_km, shown_l, heel_l;
  std::optional<double> pump_test, reading_before, reading, landed_test;  ///< fractions
  std::optional<scenario::StoppedBy> stopped_by;
};

/// What of a log is asked for.
struct LogChoice {
  /// Columns and what their cells have to be, all of them.
  std::vector<std::pair<std::string, std::string>> where = {};
  std::string group = {};  ///< any column, whose words are then the groups; empty: none
};

/// The rows that were chosen, in the order of the file; one at least.
struct ShopLog {
  std::string file;
  std::vector<std::string> names;                 ///< of all columns, as the file has them
  std::vector<std::string> unused;                ///< those that nothing reads
  std::size_t rows_of_file = 0;                   ///< chosen or not
  std::vector<std::size_t> lines;                 ///< where each row stands, from 1
  std::vector<std::optional<std::int32_t>> days;  ///< since 1970-01-01; empty without such a column
  LogWords car, pump, group;
  std::vector<std::optional<scenario::StoppedBy>> stopped_by;  ///< empty without such a column
  /// By LogColumn: NaN where a cell is empty, and no values where there is no such column.
  std::array<std::vector<double>, static_cast<std::size_t>(LogColumn::end)> numbers;
  std::vector<std::pair<std::string, LogWords>> overrides;  ///< columns named by a scenario's key

  std::size_t rows() const { return lines.size(); }
  bool has(LogColumn column) const { return !of(column).empty(); }
  const std::vector<double>& of(LogColumn column) const {
    return numbers[static_cast<std::size_t>(column)];
  }
  /// None where the cell is empty or there is no such column.
  std::optional<double> number(LogColumn column, std::size_t row) const;
  LogRow row(std::size_t row) const;
  /// What the row says of keys of a scenario, of the cells that are not empty.
  std::vector<scenario::Override> overrides_of(std::size_t row) const;
  /// In the order of their days, rows of one day and rows without one as in the file, those without
  /// first.
  std::vector<std::size_t> by_day() const;
};

/// The rows of CSV text that are asked for, numbers checked: a million take about a second and some
/// hundred bytes each. Cells may be empty. Columns: date (2031-01-04, with or without a time), car,
/// pump, stopped_by (click-off or hand), those of LogColumn, and any key of a scenario.
/// @param file  shown in errors
/// @throws text::Error, naming file, line and column, for a malformed file, a column named nearly
///   as a known one that is not there, a key that is none, two columns for one thing, a
///   cell that is no date, number or word of its column or out of its range; and where no row is
///   chosen, or a chosen column is not there
ShopLog read_shop_log(const std::string& file, std::string_view text, const LogChoice& choice = {});

/// @throws text::Error that lists the columns where the log has none of them, or no value in any
void require_any(const ShopLog& log, std::vector<LogColumn> columns);

/// "landed_test_percent": the name of a column with its customary ending.
std::string column_name(LogColumn column);

}  // namespace blendrisk::learn
