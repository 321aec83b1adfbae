#include "learn/log.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>
#include <unordered_map>

#include "scenario/column.hpp"
#include "scenario/keys.hpp"
#include "text/csv.hpp"
#include "text/error.hpp"
#include "text/letter_case.hpp"
#include "text/nearest.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "units/clock.hpp"

namespace blendrisk::learn {
namespace {

using text::Error;
using units::Dimension;

struct Column {
  const char* base;
  const char* ending;  ///< the customary one
  Dimension dimension;
  double low, high;
  const char* range;
};

constexpr auto k_number_columns = static_cast<std::size_t>(LogColumn::end);
constexpr const char* k_any_volume = "0 L to 1000000 L";
constexpr const char* k_any_content = "0 % to 100 %";
constexpr const char* k_any_reading = "-20 % to 120 %";

/// By LogColumn.
constexpr std::array<Column, k_number_columns> k_known{{
    {"indicated", "_l", Dimension::volume, 0.0, 1e6, k_any_volume},
    {"distance_left", "_km", Dimension::distance, 0.0, 1e6, "0 km to 1000000 km"},
    {"shown", "_l", Dimension::volume, 0.0, 1e6, k_any_volume},
    {"heel", "_l", Dimension::volume, 0.0, 1e6, k_any_volume},
    {"pump_test", "_percent", Dimension::content, 0.0, 1.0, k_any_content},
    {"reading_before", "_percent", Dimension::content, -0.2, 1.2, k_any_reading},
    {"reading", "_percent", Dimension::content, -0.2, 1.2, k_any_reading},
    {"landed_test", "_percent", Dimension::content, 0.0, 1.0, k_any_content},
}};

/// What tests of a pump alone are logged as.
constexpr const char* k_content = "content";

std::string listed(const std::vector<std::string>& names) {
  constexpr std::size_t k_most = 200;
  return text::in_quotes(text::listed(names), k_most);
}

struct Hash {
  using is_transparent = void;
  std::size_t operator()(std::string_view word) const {
    return std::hash<std::string_view>()(word);
  }
};

/// Fills a column of words.
class WordColumn {
 public:
  explicit WordColumn(std::optional<std::size_t> at = {}) : at_(at) {}

  bool any() const { return at_.has_value(); }
  std::string_view cell(const text::CsvRows& rows) const { return rows.cell(*at_); }
  void take(const text::CsvRows& rows) {
    if (any()) words.of_row.push_back(number_of(cell(rows)));
  }
  /// The word's number, a new one where it has none yet.
  std::uint32_t number_of(std::string_view word) {
    auto found = numbers_.find(word);
    if (found == numbers_.end()) {
      found = numbers_.emplace(word, static_cast<std::uint32_t>(words.names.size())).first;
      words.names.emplace_back(word);
    }
    return found->second;
  }
  LogWords words;

 private:
  std::optional<std::size_t> at_;
  std::unordered_map<std::string, std::uint32_t, Hash, std::equal_to<>> numbers_;
};

struct NumberColumn {
  std::optional<std::size_t> at;
  std::string unit;
};

class LogReader {
 public:
  LogReader(ShopLog& log, const LogChoice& choice) : log_(log), choice_(choice) {}

  void take_header(const std::vector<std::string>& names) {
    log_.names = names;
    for (std::size_t i = 0; i < names.size(); ++i) place(i, text::in_lower_case(names[i]));
    for (const auto& [column, value] : choice_.where) {
      where_.emplace_back(position(column, "--where"));
    }
    if (!choice_.group.empty()) group_ = WordColumn(position(choice_.group, "--group"));
    refuse_near_misses();
  }

  void take(const text::CsvRows& rows) {
    ++log_.rows_of_file;
    refuse_remark(rows);
    if (!is_chosen(rows)) return;
    log_.lines.push_back(rows.line());
    for (std::size_t i = 0; i < k_number_columns; ++i) {
      if (numbers_[i].at) log_.numbers[i].push_back(number(i, rows));
    }
    if (date_) log_.days.push_back(day(rows.cell(*date_)));
    if (stopped_by_) log_.stopped_by.push_back(stopped_by(rows.cell(*stopped_by_)));
    for (WordColumn* words : {&car_, &pump_, &group_}) words->take(rows);
    for (auto& [key, words] : overrides_) words.take(rows);
  }

  void finish() {
    if (log_.rows_of_file == 0) {
      throw Error("has no rows", "a line of column names and at least one row are accepted");
    }
    if (log_.lines.empty()) refuse_choice();
    log_.car = std::move(car_.words);
    log_.pump = std::move(pump_.words);
    log_.group = std::move(group_.words);
    for (auto& [key, words] : overrides_) log_.overrides.emplace_back(key, std::move(words.words));
  }

 private:
  /// Puts the i-th column to what it is of.
  void place(std::size_t i, const std::string& name) {
    if (name == "date") return put(date_, i, name);
    if (name == "stopped_by") return put(stopped_by_, i, name);
    if (name == "car" || name == "pump") {
      WordColumn& words = name == "car" ? car_ : pump_;
      if (words.any()) refuse_second(name);
      words = WordColumn(i);
      return;
    }
    if (place_number(i, name)) return;
    if (name.find('.') != std::string::npos) return place_key(i, name);
    log_.unused.push_back(log_.names[i]);
  }

  bool place_number(std::size_t i, const std::string& name) {
    for (std::size_t k = 0; k < k_number_columns; ++k) {
      std::string_view ending = name;
      const bool is_pump_test = k == static_cast<std::size_t>(LogColumn::pump_test);
      if (name.starts_with(k_known[k].base)) {
        ending.remove_prefix(std::string_view(k_known[k].base).size());
      } else if (is_pump_test && name.starts_with(k_content)) {
        ending.remove_prefix(std::string_view(k_content).size());
      } else {
        continue;
      }
      const std::string unit = scenario::unit_of(ending);
      const bool is_ending = ending.rfind('_') == 0 && !unit.empty();
      if (!ending.empty() && !is_ending) continue;
      const Dimension dimension = k_known[k].dimension;
      if (is_ending && !units::from_unit(1.0, unit, dimension)) {
        throw Error("ends in no unit of a " + std::string(units::name(dimension)),
                    column_name(static_cast<LogColumn>(k)) + " is accepted", {{}, 0, name});
      }
      put(numbers_[k].at, i, column_name(static_cast<LogColumn>(k)));
      numbers_[k].unit = unit;
      return true;
    }
    return false;
  }

  void place_key(std::size_t i, const std::string& name) {
    const scenario::Key* key = scenario::find_key(name);
    if (key == nullptr) {
      throw Error("is no key of a scenario" + scenario::nearest_note(name, scenario::key_names()),
                  "`blendrisk help keys` lists what is accepted", {{}, 0, log_.names[i]});
    }
    for (const auto& [other, words] : overrides_) {
      if (other == name) refuse_second(name);
    }
    overrides_.emplace_back(name, WordColumn(i));
  }

  static void put(std::optional<std::size_t>& place, std::size_t i, const std::string& name) {
    if (place) refuse_second(name);
    place = i;
  }

  [[noreturn]] static void refuse_second(const std::string& name) {
    throw Error("two columns tell this", "one is accepted", {{}, 0, name});
  }

  /// The only one of that name.
  std::size_t position(const std::string& column, const char* option) const {
    std::optional<std::size_t> found;
    for (std::size_t i = 0; i < log_.names.size(); ++i) {
      if (!text::same_word(log_.names[i], column)) continue;
      if (found) refuse_second(column);
      found = i;
    }
    if (found) return *found;
    throw Error("no column " + text::in_quotes(column) + " for " + option,
                "the columns are " + listed(log_.names));
  }

  /// A typing error in a name would leave a column out without a word.
  void refuse_near_misses() const {
    std::vector<std::string> absent;
    if (!date_) absent.emplace_back("date");
    if (!stopped_by_) absent.emplace_back("stopped_by");
    if (!car_.any()) absent.emplace_back("car");
    if (!pump_.any()) absent.emplace_back("pump");
    for (std::size_t k = 0; k < k_number_columns; ++k) {
      if (!numbers_[k].at) absent.push_back(column_name(static_cast<LogColumn>(k)));
    }
    for (const std::string& name : log_.unused) {
      const std::string near = name.empty() ? name : text::nearest(name, absent);
      if (near.empty()) continue;
      throw Error("is no known column", near + " is, or a name that is not nearly that",
                  {{}, 0, name});
    }
  }

  /// Its first cell would be read as a word.
  void refuse_remark(const text::CsvRows& rows) const {
    if (!rows.cell(0).starts_with('#')) return;
    for (std::size_t i = 1; i < log_.names.size(); ++i) {
      if (!rows.cell(i).empty()) return;
    }
    throw Error("is a remark");  // which CsvRows::here says as of any comment
  }

  bool is_chosen(const text::CsvRows& rows) {
    bool all = true;
    for (std::size_t i = 0; i < where_.size(); ++i) {
      const std::string_view cell = where_[i].cell(rows);
      all = cell == choice_.where[i].second && all;
      // Enough to tell whoever asked what there is.
      constexpr std::size_t k_most_told = 100;
      if (where_[i].words.names.size() < k_most_told) where_[i].number_of(cell);
    }
    return all;
  }

  [[noreturn]] void refuse_choice() const {
    for (std::size_t i = 0; i < where_.size(); ++i) {
      const auto& [column, value] = choice_.where[i];
      const std::vector<std::string>& names = where_[i].words.names;
      if (std::ranges::count(names, value) > 0) continue;
      throw Error("no row has " + text::in_quotes(value), "it has " + listed(names),
                  {{}, 0, column});
    }
    throw Error("no row has all that --where asks for", "fewer of them are accepted");
  }

  double number(std::size_t k, const text::CsvRows& rows) const {
    const std::string_view cell = rows.cell(*numbers_[k].at);
    if (cell.empty()) return std::numeric_limits<double>::quiet_NaN();
    const Column& known = k_known[k];
    return text::at({{}, 0, log_.names[*numbers_[k].at]}, [&] {
      const double value = scenario::cell_value(cell, numbers_[k].unit, known.dimension);
      if (value >= known.low && value <= known.high) return value;
      throw Error(text::in_quotes(cell) + " is out of range", known.range);
    });
  }

  static std::optional<std::int32_t> day(std::string_view cell) {
    if (cell.empty()) return {};
    const auto day = units::calendar_day(cell);
    if (day) return static_cast<std::int32_t>(*day);
    throw Error(text::in_quotes(cell) + " is no date",
                "year-month-day as in 2026-11-27, with or without a time behind it",
                {{}, 0, "date"});
  }

  static std::optional<scenario::StoppedBy> stopped_by(std::string_view cell) {
    if (cell.empty()) return {};
    if (text::same_word(cell, "click-off")) return scenario::StoppedBy::click_off;
    if (text::same_word(cell, "hand")) return scenario::StoppedBy::hand;
    throw Error(text::in_quotes(cell) + " is neither end of a fill", "click-off or hand",
                {{}, 0, "stopped_by"});
  }

  ShopLog& log_;
  const LogChoice& choice_;
  std::optional<std::size_t> date_, stopped_by_;
  std::array<NumberColumn, k_number_columns> numbers_;
  WordColumn car_, pump_, group_;
  std::vector<WordColumn> where_;
  std::vector<std::pair<std::string, WordColumn>> overrides_;
};

}  // namespace

std::optional<double> ShopLog::number(LogColumn column, std::size_t row) const {
  const std::vector<double>& values = of(column);
  if (values.empty() || std::isnan(values[row])) return {};
  return values[row];
}

LogRow ShopLog::row(std::size_t row) const {
  LogRow one;
  one.line = lines[row];
  one.car = car.at(row);
  one.pump = pump.at(row);
  one.group = group.at(row);
  if (!days.empty() && days[row]) one.day = *days[row];
  one.indicated_l = number(LogColumn::indicated, row);
  one.distance_left_km = number(LogColumn::distance_left, row);
  one.shown_l = number(LogColumn::shown, row);
  one.heel_l = number(LogColumn::heel, row);
  one.pump_test = number(LogColumn::pump_test, row);
  one.reading_before = number(LogColumn::reading_before, row);
  one.reading = number(LogColumn::reading, row);
  one.landed_test = number(LogColumn::landed_test, row);
  if (!stopped_by.empty()) one.stopped_by = stopped_by[row];
  return one;
}

std::vector<scenario::Override> ShopLog::overrides_of(std::size_t row) const {
  std::vector<scenario::Override> given;
  for (const auto& [key, words] : overrides) {
    const std::string_view value = words.at(row);
    if (!value.empty()) given.push_back({key, std::string(value)});
  }
  return given;
}

std::vector<std::size_t> ShopLog::by_day() const {
  std::vector<std::size_t> order(rows());
  std::iota(order.begin(), order.end(), std::size_t{0});
  if (days.empty()) return order;
  std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) { return days[a] < days[b]; });
  return order;
}

ShopLog read_shop_log(const std::string& file, std::string_view text, const LogChoice& choice) {
  ShopLog log;
  log.file = file;
  LogReader reader(log, choice);
  text::CsvRows rows(file, text);
  if (!rows.names().empty()) rows.here([&] { reader.take_header(rows.names()); });
  while (rows.next()) rows.here([&] { reader.take(rows); });
  text::at({file}, [&] { reader.finish(); });
  return log;
}

void require_any(const ShopLog& log, std::vector<LogColumn> columns) {
  std::string wanted;
  bool there = false;
  for (const LogColumn column : columns) {
    wanted += (wanted.empty() ? "" : " or ") + column_name(column);
    there = there || log.has(column);
    const std::vector<double>& values = log.of(column);
    if (std::ranges::any_of(values, [](double value) { return !std::isnan(value); })) return;
  }
  if (there) {
    throw Error("no row has a value", "a log with some is accepted", {log.file, 0, wanted});
  }
  throw Error("no column " + wanted, "the columns are " + listed(log.names), {log.file, 1});
}

std::string column_name(LogColumn column) {
  const Column& known = k_known[static_cast<std::size_t>(column)];
  return std::string(known.base) + known.ending;
}

}  // namespace blendrisk::learn
