#pragma once

#include <optional>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include "decide/curve.hpp"
#include "estimate/result.hpp"
#include "report/format.hpp"
#include "report/table_text.hpp"
#include "scenario/read.hpp"

/// The command line after the command, read through Boost.Program_options. Scenario keys are
/// options by their full name.
namespace blendrisk::cli {

/// Bad arguments; what() is the one line for the user without the program's name.
struct UsageError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct Arguments {
  std::string scenario_path;                ///< the first of
  std::vector<std::string> scenario_paths;  ///< more than one only for table
  std::vector<scenario::Override> overrides;
  estimate::Options options;
  report::UnitSystem units = report::UnitSystem::metric;
  std::string rows, columns;  ///< table: axes as given
  decide::Show show = decide::Show::amount;
  std::optional<report::Part> part;
  bool join = false;
  std::string along, by, after;  ///< curve: axes and moment as given
  std::optional<decide::CurveShow> curve_show;
  bool linear = false;                        ///< curve: the scale of chances
  std::string pump_tests, changeover, group;  ///< learn: files, and a column
  std::string readings;                       ///< update: a file, or "-"
  std::vector<std::string> reading;           ///< update: as given
  std::string output;                         ///< empty: standard output
  bool back = false;                          ///< new: the way back
  std::set<std::string> given;                ///< options by their names, but no keys
  bool json = false;
  bool require = false;
  bool help = false;
  bool version = false;
};

/// The arguments of a command. Where --help or --version is among them the scenario may be missing;
/// new has none.
/// @throws UsageError for unknown, repeated, malformed or idle options and for no or two scenarios
Arguments parse_arguments(const std::string& command, const std::vector<std::string>& args);

/// The options of a command with their meaning, for the help.
std::string options_text(const std::string& command);

}  // namespace blendrisk::cli
