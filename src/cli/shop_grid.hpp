#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "cli/options.hpp"
#include "decide/cells.hpp"
#include "scenario/read.hpp"

/// Every car of a shop with every pump: the files of --cars and --pumps.
namespace blendrisk::cli {

/// A car or a pump.
struct ShopFile {
  std::string path;   ///< as found
  std::string title;  ///< as its file says, else the file's name; none twice among cars or pumps
  std::vector<scenario::Entry> entries;
};

class ShopGrid {
 public:
  /// The files that the options name: patterns written out and sorted, in the order of the options.
  /// @throws text::Error where a pattern finds none, one is found twice, cannot be read or is no
  /// scenario's text
  explicit ShopGrid(const Arguments& arguments);

  const std::vector<ShopFile>& cars() const { return cars_; }
  const std::vector<ShopFile>& pumps() const { return pumps_; }
  /// A car a row, a pump a column.
  decide::GridShape shape() const { return {cars_.size(), pumps_.size()}; }

  /// "cars/van.ini with pumps/north.ini", as what is wrong with both together is told of.
  std::string name_of(std::size_t car, std::size_t pump) const;

  /// The lines of a car with those of a pump over them. The title is the car's, fuel.title the
  /// pump's.
  std::vector<scenario::Entry> entries_of(std::size_t car, std::size_t pump) const;

  /// The same as a scenario, with keys that win over both.
  /// @param data  as in data_beside
  /// @throws text::Error naming the file and line of the car or the pump
  scenario::Scenario scenario_of(std::size_t car, std::size_t pump,
                                 const std::vector<scenario::Override>& overrides,
                                 std::map<std::string, std::string>* data = nullptr) const;

  /// The accepted risk of every cell, car by car; none where the two do not make a scenario.
  /// @throws text::Error the first of a car or a pump that makes none with any other: its file is
  /// to be mended
  std::vector<std::optional<double>> checked(
      const std::vector<scenario::Override>& overrides) const;

 private:
  std::vector<ShopFile> cars_, pumps_;
};

/// The files that a pattern of *, ? and [...] finds, sorted by name; what is no pattern is a file.
/// @param option  "cars", for errors   @throws text::Error where it finds none
std::vector<std::string> files_of(const std::string& pattern, const std::string& option);

}  // namespace blendrisk::cli
