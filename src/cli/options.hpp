#pragma once

#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "answer/format.hpp"
#include "answer/languages.hpp"
#include "estimate/result.hpp"
#include "render/table_csv.hpp"
#include "scenario/read.hpp"
#include "text/error.hpp"
#include "units/clock.hpp"

/// The command line after the command, read through Boost.Program_options, and the one table of the
/// options that are no scenario keys. Keys are options by their full name.
namespace blendrisk::cli {

struct Command;

using text::Error;

struct Arguments {
  std::string scenario_path;                ///< the first of
  std::vector<std::string> scenario_paths;  ///< more than one only for table
  std::vector<std::string> cars, pumps;     ///< of a shop: names of files, or patterns of them
  std::string changes;                      ///< policy: a number, or a file
  std::optional<double> year_risk, cost_of_miss;
  std::vector<scenario::Override> overrides;
  estimate::Options options{.decision_serves = true};  ///< unless a precision is given
  answer::UnitSystem units = answer::UnitSystem::metric;
  std::string rows, columns;     ///< table: axes as given
  std::string along, by, after;  ///< curve: axes and moment as given
  std::string show;              ///< table, curve: one of the command's words
  std::optional<render::Part> part;
  bool join = false;
  bool linear = false;            ///< curve: the scale of chances
  std::string log, changeover;    ///< learn: files
  std::string group, pump, car;   ///< of a shop's log: a column, and names
  std::optional<long> on_day;     ///< learn: of the season, since 1970-01-01
  double same_delivery_days = 3;  ///< learn: tests of a pump within these are of one delivery
  /// Of a shop's log: columns and what their cells have to be.
  std::vector<std::pair<std::string, std::string>> where;
  std::string readings;                     ///< update: a file, or "-"
  std::vector<std::string> reading;         ///< update: as given
  std::optional<units::ClockTime> started;  ///< the clock of a log at its time 0
  std::string output;                       ///< empty: standard output
  bool lines = false;                       ///< chance, update: lines for the next scenario
  bool static_page = false;                 ///< guide: a page without script
  const answer::Language* language = answer::languages().data();  ///< guide: of the page
  bool learn = false;           ///< verify: laws from the rows before
  bool back = false;            ///< new: the way back
  std::set<std::string> given;  ///< options by their names, but no keys
  bool json = false;
  bool require = false;
  bool help = false;
  bool version = false;
};

/// The arguments of a command. Where --help or --version is among them the scenario may be missing.
/// @throws Error for unknown, repeated, malformed or idle options and for a wrong number of
/// scenarios
Arguments parse_arguments(const Command& command, const std::vector<std::string>& args);

/// What is asked for, as far as options are heeded by it or not.
struct Asked {
  const Command& command;
  const Arguments& arguments;

  bool is(std::string_view name) const;
  /// The word of --show, given or not; empty where the command has none.
  std::string_view show() const;
  bool picture() const;
  bool data() const { return arguments.output.ends_with(".csv"); }
};

/// An option that does nothing misleads whoever gave it, so that it is refused there.
struct Idle {
  bool (*is_idle)(const Asked&);
  const char* why;
};

struct Option;

/// What is given for an option of a command.
struct Given {
  const Option& option;
  const Command& command;
  const std::string& text;
};

struct Option {
  const char* name;
  const char* argument;  ///< nullptr for a switch
  const char* meaning;
  /// Checks what is given and keeps what it says. @throws Error
  void (*take)(const Given&, Arguments&);
  const char* words = "";  ///< words that are accepted, parted by spaces, the default first
  std::span<const Idle> idle = {};
};

/// All options, in the order of the help.
std::span<const Option> option_table();

/// nullptr where there is none of that name.
const Option* find_option(std::string_view name);

/// Whether the command has the option.
bool has(const Option& option, const Command& command);

/// Whether it may be given again, for more.
bool may_be_repeated(std::string_view option);

/// The words that an option of a command accepts, empty where it takes other text.
std::vector<std::string> accepted_words(const Option& option, const Command& command);

/// The words of a list that spaces part.
std::vector<std::string> words_of(std::string_view list);

/// "table", "update and learn": the names of all commands that have the option, "" where all have.
std::string commands_with(const Option& option);

}  // namespace blendrisk::cli
