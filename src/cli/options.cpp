#include "cli/options.hpp"

#include <boost/program_options/options_description.hpp>
#include <boost/program_options/parsers.hpp>

#include "cli/command.hpp"
#include "scenario/keys.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

namespace po = boost::program_options;
using text::in_quotes;

/// Long options in any case, spelled out in full: an abbreviation that works today may be ambiguous
/// tomorrow.
constexpr int k_style =
    po::command_line_style::allow_long | po::command_line_style::long_case_insensitive |
    po::command_line_style::long_allow_adjacent | po::command_line_style::long_allow_next;

po::options_description known_options() {
  po::options_description known;
  for (const Option& option : option_table()) {
    if (option.argument == nullptr) {
      known.add_options()(option.name, option.meaning);
    } else {
      known.add_options()(option.name, po::value<std::string>(), option.meaning);
    }
  }
  for (const std::string& key : scenario::key_names()) {
    known.add_options()(key.c_str(), po::value<std::string>());
  }
  return known;
}

std::string see_help(const Command& command) {
  return "; `blendrisk help " + std::string(command.name) + "` lists what is accepted";
}

[[noreturn]] void fail_unknown(const Command& command, std::string_view option) {
  std::vector<std::string> names(scenario::key_names().begin(), scenario::key_names().end());
  for (const Option& known : option_table()) names.emplace_back(known.name);
  const std::string_view word =
      option.substr(std::min(option.find_first_not_of('-'), option.size()));
  throw Error("unknown option " + in_quotes(option) + scenario::nearest_note(word, names) +
              see_help(command));
}

[[noreturn]] void fail_syntax(const po::invalid_command_line_syntax& error) {
  const std::string option = text::escaped(error.get_option_name().substr(0, 60));
  switch (error.kind()) {
    case po::invalid_syntax::missing_parameter:
    case po::invalid_syntax::empty_adjacent_parameter:
      throw Error(option + ": has no value; a value after it is accepted");
    case po::invalid_syntax::extra_parameter:
      throw Error(option + ": takes no value; the option alone is accepted");
    default:
      throw Error(option + ": is malformed; --name VALUE is accepted");
  }
}

std::vector<po::option> parse(const Command& command, const std::vector<std::string>& args) {
  const po::options_description known = known_options();
  try {
    return po::command_line_parser(args).options(known).style(k_style).run().options;
  } catch (const po::unknown_option& error) {
    fail_unknown(command, error.get_option_name());
  } catch (const po::invalid_command_line_syntax& error) {
    fail_syntax(error);
  } catch (const po::error& error) {
    throw Error(text::escaped(error.what()));
  }
}

void take_positional(const Command& command, const std::string& text, Arguments& arguments) {
  // "-h" and the like: there are no short options.
  if (text.size() > 1 && text.front() == '-') fail_unknown(command, text);
  if (text.empty()) throw Error("the scenario's name is empty; a file is accepted");
  if (!arguments.scenario_path.empty() && command.scenarios != Scenarios::several) {
    throw Error("two scenarios, " + in_quotes(arguments.scenario_path) + " and " + in_quotes(text) +
                "; one is accepted (a value with spaces needs quotes)");
  }
  if (arguments.scenario_path.empty()) arguments.scenario_path = text;
  arguments.scenario_paths.push_back(text);
}

void take_option(const Command& command, const Option& option, const std::string& text,
                 Arguments& arguments) {
  const std::string name = option.name;
  if (!has(option, command)) {
    throw Error("--" + name + ": is an option of " + commands_with(option) + ", not of " +
                command.name + see_help(command));
  }
  arguments.given.insert(name);
  option.take({option, command, text}, arguments);
}

void refuse_idle_options(const Command& command, const Arguments& arguments) {
  if (command.refuse != nullptr) command.refuse(arguments);
  for (const Option& option : option_table()) {
    if (!arguments.given.contains(option.name)) continue;
    for (const Idle& idle : option.idle) {
      if (!idle.is_idle({command, arguments})) continue;
      throw Error("--" + std::string(option.name) + ": " + idle.why);
    }
  }
}

/// Refuses what a command that reads nothing cannot heed, and no scenario where one is needed.
void check_scenario(const Command& command, const Arguments& arguments) {
  const std::string name = command.name;
  if (command.scenarios == Scenarios::none) {
    std::string odd = arguments.scenario_path;
    if (!arguments.overrides.empty()) odd = "--" + arguments.overrides.front().key;
    if (odd.empty()) return;
    throw Error(name + ": " + in_quotes(odd) + " is not accepted; `blendrisk " + name +
                "` reads no file and no keys, its answer is on standard output");
  }
  const bool may_lack =
      arguments.help || arguments.version || command.scenarios == Scenarios::perhaps;
  if (arguments.cars.empty() != arguments.pumps.empty()) {
    throw Error(arguments.cars.empty() ? "--pumps: goes with --cars; both are accepted"
                                       : "--cars: goes with --pumps; both are accepted");
  }
  if (!arguments.cars.empty()) {
    if (arguments.scenario_path.empty()) return;
    throw Error(in_quotes(arguments.scenario_path) +
                " is given beside --cars and --pumps, whose files are the scenarios; one or the "
                "other is accepted");
  }
  if (arguments.scenario_path.empty() && !may_lack) {
    throw Error(name + ": no scenario; `blendrisk " + name +
                " SCENARIO.ini` is accepted, `blendrisk new` prints a starter");
  }
}

/// Where the names of more files go that follow an option's, as a shell writes out a pattern;
/// nullptr: they are the scenarios.
std::vector<std::string>* files_after(const std::string& option, Arguments& arguments) {
  if (option == "cars") return &arguments.cars;
  return option == "pumps" ? &arguments.pumps : nullptr;
}

}  // namespace

Arguments parse_arguments(const Command& command, const std::vector<std::string>& args) {
  Arguments arguments;
  std::set<std::string> seen;
  std::string last;
  for (const po::option& option : parse(command, args)) {
    const std::string text = option.value.empty() ? std::string() : option.value.front();
    const std::string& name = option.string_key;
    if (option.position_key >= 0 || name.empty()) {
      std::vector<std::string>* more = files_after(last, arguments);
      if (more != nullptr && !text.empty() && text.front() != '-') {
        more->push_back(text);
      } else {
        take_positional(command, text, arguments);
      }
      continue;
    }
    last = name;
    if (!seen.insert(name).second && !may_be_repeated(name)) {
      throw Error("--" + name + ": is given twice; once is accepted");
    }
    if (const Option* known = find_option(name)) {
      take_option(command, *known, text, arguments);
    } else {
      arguments.overrides.push_back({name, text});
    }
  }
  if (seen.contains("precision") && seen.contains("cases")) {
    throw Error("--precision: is given beside --cases; one or the other is accepted");
  }
  if (!arguments.help && !arguments.version) refuse_idle_options(command, arguments);
  check_scenario(command, arguments);
  return arguments;
}

}  // namespace blendrisk::cli
