#pragma once

#include <iosfwd>
#include <span>
#include <string>
#include <string_view>

#include "cli/app.hpp"
#include "cli/options.hpp"

/// A command is data: what it answers, what it heeds, and the function that answers. Dispatch,
/// help, manual, completion and the refusal of options all walk the one table of them.
namespace blendrisk::cli {

/// Returned as text, so that nothing is written before all of it is known.
struct Answer {
  std::string text;
  int status = k_answered;
};

struct Command;

/// What a command is called with.
struct Call {
  const Command& command;
  const Arguments& arguments;
  std::istream& in;   ///< what `update --readings -` follows
  std::ostream& out;  ///< gets the answers of `update --readings -` line by line, all others none
  std::ostream& err;  ///< gets progress where that is a terminal, and what is skipped of a stream
};

/// How many scenarios a command reads. What reads none has no keys as options either.
enum class Scenarios { none, one, several, perhaps };

struct Command {
  const char* name;
  const char* question;  ///< one line of the general help
  /// Lines of what may stand behind the command's name.
  const char* usage = "SCENARIO.ini [--section.key VALUE ...] [options]";
  /// Paragraphs, with examples indented by two spaces, a line that a backslash carries on by four.
  const char* about;
  const char* options;  ///< names of rows of the table of options, parted by spaces
  /// @throws Error; std::exception where it cannot finish
  Answer (*answer)(const Call&);
  Scenarios scenarios = Scenarios::one;
  const char* output = "";  ///< ".csv .svg": how the name of --output may end
  const char* shows = "";   ///< words of --show, the default first
  /// Refuses arguments that do nothing together. @throws Error
  void (*refuse)(const Arguments&) = nullptr;
  const char* first_file = ".ini";  ///< how the first of several files may end
  bool directory = false;           ///< whether --output may name a directory, too
};

/// All commands but help, in the order of the help.
std::span<const Command* const> commands();

/// nullptr where there is none of that name.
const Command* find_command(std::string_view name);

}  // namespace blendrisk::cli
