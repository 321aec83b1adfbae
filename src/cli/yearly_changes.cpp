#include "cli/yearly_changes.hpp"

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <optional>

#include "cli/scenario_file.hpp"
#include "text/csv.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

constexpr const char* k_columns_accepted = "a .csv with the columns car, pump and changes";
constexpr const char* k_changes_accepted = "a whole number from 0 to 1000000";
constexpr double k_most_changes = 1e6;

std::optional<double> whole_number(std::string_view text) {
  unsigned value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return {};
  const double number = value;
  return number <= k_most_changes ? std::optional(number) : std::nullopt;
}

bool is_called(const ShopFile& file, std::string_view name) {
  const std::filesystem::path path(file.path);
  return name == file.title || name == file.path || name == path.filename().string() ||
         name == path.stem().string();
}

std::size_t called(const std::vector<ShopFile>& files, std::string_view name, const char* what) {
  const auto found =
      std::ranges::find_if(files, [&](const ShopFile& one) { return is_called(one, name); });
  if (found == files.end()) {
    throw Error(std::string(what) + " " + text::in_quotes(name) + " is not among those given",
                "a title such as " + text::in_quotes(files.front().title));
  }
  const bool twice = std::any_of(found + 1, files.end(),
                                 [&](const ShopFile& one) { return is_called(one, name); });
  if (twice) {
    throw Error(std::string(what) + " " + text::in_quotes(name) + " names two of them",
                "the path of its file");
  }
  return static_cast<std::size_t>(found - files.begin());
}

std::size_t column_of(const text::CsvRows& rows, const std::string& file, const char* name) {
  const auto found = std::ranges::find(rows.names(), name);
  if (found == rows.names().end()) {
    throw Error(std::string("has no column ") + name, k_columns_accepted, {file});
  }
  return static_cast<std::size_t>(found - rows.names().begin());
}

std::vector<double> of_file(const std::string& file, const ShopGrid& grid) {
  const std::string bytes = log_text(file, k_columns_accepted, "a shorter file is");
  text::CsvRows rows(file, bytes);
  const std::size_t car = column_of(rows, file, "car");
  const std::size_t pump = column_of(rows, file, "pump");
  const std::size_t changes = column_of(rows, file, "changes");
  std::vector<std::optional<double>> told(grid.shape().cells());
  while (rows.next()) {
    rows.here([&] {
      const std::size_t of_car = called(grid.cars(), rows.cell(car), "the car");
      const std::size_t place =
          grid.shape().cell_at(of_car, called(grid.pumps(), rows.cell(pump), "the pump"));
      if (told[place]) throw Error("names a car and a pump a second time", "each pair once");
      told[place] = whole_number(rows.cell(changes));
      if (!told[place]) {
        throw Error(text::in_quotes(rows.cell(changes)) + " is no number of changes",
                    k_changes_accepted);
      }
    });
  }
  std::vector<double> all;
  all.reserve(told.size());
  for (const auto& one : told) all.push_back(one.value_or(0.0));
  if (std::ranges::all_of(all, [](double one) { return one == 0.0; })) {
    throw Error("has no change at all", "one change or more", {file});
  }
  return all;
}

}  // namespace

std::vector<double> yearly_changes(const std::string& told, const ShopGrid& grid) {
  if (told.ends_with(".csv")) return of_file(told, grid);
  const std::optional<double> each = whole_number(told);
  if (!each || *each == 0.0) {
    throw Error(text::in_quotes(told) + " is no number of changes",
                std::string("a whole number from 1 to 1000000, or ") + k_columns_accepted,
                {"--changes"});
  }
  return std::vector<double>(grid.shape().cells(), *each);
}

}  // namespace blendrisk::cli
