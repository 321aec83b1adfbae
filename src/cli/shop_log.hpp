#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cli/options.hpp"
#include "cli/scenario_file.hpp"
#include "learn/log.hpp"

/// A shop's log beside the scenarios of its cars.
namespace blendrisk::cli {

/// The rows of a log that --where chooses. @throws text::Error where it cannot be read
learn::ShopLog read_log(const std::string& path, const Arguments& arguments);

/// What each row of a log says, as a scenario.
class LoggedFills {
 public:
  /// @param arguments  its first file is the log, those behind it the scenarios   @param log  has
  /// to outlive this   @throws text::Error where a scenario cannot be read
  LoggedFills(const learn::ShopLog& log, const Arguments& arguments);

  /// The scenario of a row's car with what was known before the tank was tested: keys given beside
  /// it win over the row's columns named by keys, these over its other columns, and all of them
  /// over the file.
  /// @throws text::Error naming the log's line, where the row or its car has no scenario or does
  /// not fit it
  scenario::Scenario scenario_of(std::size_t row) const;

  /// Whether the row or an option gives the key, and not the file alone.
  bool gives(std::size_t row, std::string_view key) const;

 private:
  struct Car {
    std::string path, name, title;  ///< the name is the file's without its ending
    ScenarioFile file;
  };
  const Car& car_of(const learn::LogRow& row) const;

  const learn::ShopLog& log_;
  std::vector<scenario::Override> beside_;
  std::vector<Car> cars_;
};

/// Columns of the log that neither it nor --where nor --group heeds.
std::vector<std::string> unused_columns(const learn::ShopLog& log, const Arguments& arguments);

}  // namespace blendrisk::cli
