#include "cli/help.hpp"

#include <array>

#include "answer/plain_text.hpp"
#include "answer/words.hpp"
#include "cli/command.hpp"
#include "text/lines.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

constexpr const char* k_purpose =
    "the chance that a change between gasoline and high-ethanol fuel lands outside the limits of "
    "an engine's calibration, by Monte Carlo over every uncertain input.";

constexpr const char* k_general_end =
    R"(  help     this text; `help COMMAND` on a command, `help keys` on the keys of a scenario

Start: blendrisk new > car.ini
       blendrisk chance car.ini

)";

struct Status {
  int number;
  const char* meaning;
};
constexpr std::array<Status, 4> k_statuses{{
    {k_answered, "answered"},
    {k_could_not_finish, "could not finish"},
    {k_bad_input, "bad arguments or scenario"},
    {k_risk_not_met, "with --require, answered and the accepted risk is not met"},
}};

/// `head` and, from the column `at` on, what it means.
std::string entry(std::string head, std::size_t at, const std::string& meaning) {
  head.resize(std::max(head.size() + 1, at), ' ');
  return head + meaning + "\n";
}

std::string commands_text(std::size_t column) {
  std::string text;
  for (const Command* command : commands()) {
    text += entry(std::string("  ") + command->name, column, command->question);
  }
  return text;
}

std::string general_text() {
  std::string statuses;
  for (const Status& status : k_statuses) {
    statuses += std::to_string(status.number) + " " + status.meaning +
                (status.number == k_risk_not_met ? "." : "; ");
  }
  return answer::wrapped(std::string("blendrisk: ") + k_purpose) +
         "\nUsage: blendrisk COMMAND SCENARIO.ini [--section.key VALUE ...] "
         "[options]\n\nCommands:\n" +
         commands_text(11) + k_general_end + answer::wrapped(statuses, "Exit status: ");
}

std::string shown(const Option& option) {
  const std::string name = "  --" + std::string(option.name);
  return option.argument == nullptr ? name : name + " " + option.argument;
}

/// The lines of usage, each begun by `first` or `further`.
std::string usage_text(const Command& command, const std::string& first,
                       const std::string& further) {
  std::string text;
  for (std::string_view rest = command.usage; !rest.empty();) {
    text.append(text.empty() ? first : further).append("blendrisk ").append(command.name);
    text.append(" ").append(text::next_line(rest)).append("\n");
  }
  return text + "\n";
}

std::string command_text(const Command& command) {
  std::string text = usage_text(command, "Usage: ", "       ") + command.about + "\nOptions:\n";
  for (const Option& option : option_table()) {
    if (has(option, command)) text += entry(shown(option), 18, option.meaning);
  }
  return text;
}

/// What only the tables know of the page blendrisk(1); the rest stands in the file that help2man
/// includes.
std::string manual_text() {
  constexpr std::size_t k_column = 28;
  std::string text =
      std::string("Computes ") + k_purpose + "\n\n" + commands_text(k_column) + "\nOptions:\n\n";
  for (const Option& option : option_table()) {
    const std::string with = commands_with(option);
    text += entry(shown(option), k_column,
                  option.meaning + (with.empty() ? "" : ". With " + with + "."));
  }
  text += "\n*Commands*\n\n";
  for (const Command* command : commands()) {
    std::string body = usage_text(*command, "  ", "\n  ") + command->about;
    // A command is carried on in the column that it begins in.
    for (std::size_t at = body.find("\\\n    "); at != std::string::npos;
         at = body.find("\\\n    ", at)) {
      body.erase(at + 2, 2);
    }
    text += std::string(command->name) + ":\n" + body + "\n";
  }
  text += "*Exit status*\n\n";
  for (const Status& status : k_statuses) {
    text += entry("  " + std::to_string(status.number), k_column, status.meaning);
  }
  text += "\n*Caution*\n";
  for (const std::string& caution : answer::cautions()) {
    text += "\n" + std::string(caution) + "\n";
  }
  return text;
}

}  // namespace

std::vector<std::string> command_names() {
  std::vector<std::string> names;
  for (const Command* command : commands()) names.emplace_back(command->name);
  names.emplace_back("help");
  return names;
}

std::string listed_commands(const std::string& last) {
  std::vector<std::string> names;
  for (const Command* command : commands()) names.emplace_back(command->name);
  names.push_back(last);
  return text::enumerated(std::move(names));
}

std::string help_text(const std::string& topic) {
  if (topic.empty() || topic == "help") return general_text();
  if (topic == "keys") return keys_text();
  if (topic == "manual") return manual_text();
  if (topic == "scenario") return scenario_parts();
  if (const Command* command = find_command(topic)) return command_text(*command);
  throw Error("help: no help on " + text::in_quotes(topic) + "; " + listed_commands("keys") +
              " are accepted");
}

}  // namespace blendrisk::cli
