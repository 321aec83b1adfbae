#include "cli/options.hpp"

#include <boost/program_options/options_description.hpp>
#include <boost/program_options/parsers.hpp>
#include <charconv>
#include <cmath>
#include <functional>
#include <map>
#include <set>
#include <string_view>

#include "cli/idle_options.hpp"
#include "cli/option_table.hpp"
#include "scenario/keys.hpp"
#include "scenario/quoting.hpp"
#include "units/quantity.hpp"

namespace blendrisk::cli {
namespace {

namespace po = boost::program_options;
using scenario::in_quotes;

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
  for (const scenario::Key& key : scenario::keys()) {
    known.add_options()(key.full_name().c_str(), po::value<std::string>(), key.meaning.c_str());
  }
  return known;
}

std::vector<std::string> known_names() {
  std::vector<std::string> names(scenario::key_names().begin(), scenario::key_names().end());
  for (const Option& option : option_table()) names.emplace_back(option.name);
  return names;
}

[[noreturn]] void fail_unknown(const std::string& command, std::string_view option) {
  const std::string_view word =
      option.substr(std::min(option.find_first_not_of('-'), option.size()));
  throw UsageError("unknown option " + in_quotes(option) +
                   scenario::nearest_note(word, known_names()) + "; `blendrisk help " + command +
                   "` lists what is accepted");
}

std::string shown_option(const std::string& name) {
  return scenario::escaped(std::string_view(name).substr(0, 60));
}

[[noreturn]] void fail_syntax(const po::invalid_command_line_syntax& error) {
  const std::string option = shown_option(error.get_option_name());
  switch (error.kind()) {
    case po::invalid_syntax::missing_parameter:
    case po::invalid_syntax::empty_adjacent_parameter:
      throw UsageError(option + ": has no value; a value after it is accepted");
    case po::invalid_syntax::extra_parameter:
      throw UsageError(option + ": takes no value; the option alone is accepted");
    default:
      throw UsageError(option + ": is malformed; --name VALUE is accepted");
  }
}

std::vector<po::option> parse(const std::string& command, const std::vector<std::string>& args) {
  const po::options_description known = known_options();
  try {
    return po::command_line_parser(args).options(known).style(k_style).run().options;
  } catch (const po::unknown_option& error) {
    fail_unknown(command, error.get_option_name());
  } catch (const po::invalid_command_line_syntax& error) {
    fail_syntax(error);
  } catch (const po::error& error) {
    throw UsageError(scenario::escaped(error.what()));
  }
}

template <class T>
T number(const std::string& text, T least, T most, const std::string& option,
         const char* accepted) {
  T value{};
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || value < least || value > most) {
    throw UsageError("--" + option + ": " + in_quotes(text) + " is not accepted; " + accepted);
  }
  return value;
}

std::uint64_t cases(const std::string& text) {
  constexpr const char* accepted = "a whole number from 32 to 1e12, such as 100000 or 1e6";
  const auto value = number<double>(text, 32.0, 1e12, "cases", accepted);
  if (value != std::floor(value)) {
    throw UsageError("--cases: " + in_quotes(text) + " is not whole; " + accepted);
  }
  return static_cast<std::uint64_t>(value);
}

double precision(const std::string& text) {
  constexpr const char* accepted = "a fraction with its unit, more than 0 % and less than 100 %";
  try {
    const double value = units::parse_quantity(text, units::Dimension::fraction);
    if (value > 0.0 && value < 1.0) return value;
  } catch (const units::QuantityError& error) {
    throw UsageError("--precision: " + std::string(error.what()) + "; " + accepted);
  }
  throw UsageError("--precision: " + in_quotes(text) + " is out of range; " + accepted);
}

template <class T>
T one_of(const std::string& option, const std::string& text, const Words<T>& known) {
  const auto found = known.find(text);
  if (found != known.end()) return found->second;
  std::string list;
  for (const auto& [name, value] : known) list += (list.empty() ? "" : " or ") + name;
  throw UsageError("--" + option + ": " + in_quotes(text) + " is not known; " + list);
}

report::Part part(const std::string& text) {
  constexpr const char* accepted = "K/N with K from 1 to N, and N at most 1000000, such as 2/8";
  const std::size_t slash = text.find('/');
  if (slash == std::string::npos) {
    throw UsageError("--part: " + in_quotes(text) + " is not accepted; " + accepted);
  }
  report::Part result;
  result.count = number<std::size_t>(text.substr(slash + 1), 1, 1'000'000, "part", accepted);
  result.number = number<std::size_t>(text.substr(0, slash), 1, result.count, "part", accepted);
  return result;
}

using Setter = std::function<void(Arguments&, const std::string&)>;

const std::map<std::string, Setter>& setters() {
  static const std::map<std::string, Setter> all{
      {"json", [](Arguments& a, const std::string&) { a.json = true; }},
      {"back", [](Arguments& a, const std::string&) { a.back = true; }},
      {"require", [](Arguments& a, const std::string&) { a.require = true; }},
      {"help", [](Arguments& a, const std::string&) { a.help = true; }},
      {"version", [](Arguments& a, const std::string&) { a.version = true; }},
      {"seed",
       [](Arguments& a, const std::string& text) {
         a.options.seed = number<std::uint64_t>(text, 0, UINT64_MAX, "seed",
                                                "a whole number from 0 to 18446744073709551615");
       }},
      {"threads",
       [](Arguments& a, const std::string& text) {
         a.options.threads =
             number<unsigned>(text, 1, 1024, "threads", "a whole number from 1 to 1024");
       }},
      {"precision",
       [](Arguments& a, const std::string& text) { a.options.precision = precision(text); }},
      {"cases", [](Arguments& a, const std::string& text) { a.options.cases = cases(text); }},
      {"method",
       [](Arguments& a, const std::string& text) {
         a.options.method = one_of("method", text, method_words());
       }},
      {"units", [](Arguments& a,
                   const std::string& text) { a.units = one_of("units", text, unit_words()); }},
      {"reading", [](Arguments& a, const std::string& text) { a.reading.push_back(text); }},
      {"readings", [](Arguments& a, const std::string& text) { a.readings = text; }},
      {"rows", [](Arguments& a, const std::string& text) { a.rows = text; }},
      {"columns", [](Arguments& a, const std::string& text) { a.columns = text; }},
      {"join", [](Arguments& a, const std::string&) { a.join = true; }},
      {"pump-tests", [](Arguments& a, const std::string& text) { a.pump_tests = text; }},
      {"changeover", [](Arguments& a, const std::string& text) { a.changeover = text; }},
      {"group", [](Arguments& a, const std::string& text) { a.group = text; }},
      {"along", [](Arguments& a, const std::string& text) { a.along = text; }},
      {"by", [](Arguments& a, const std::string& text) { a.by = text; }},
      {"after", [](Arguments& a, const std::string& text) { a.after = text; }},
      {"scale", [](Arguments& a,
                   const std::string& text) { a.linear = one_of("scale", text, scale_words()); }},
      {"part", [](Arguments& a, const std::string& text) { a.part = part(text); }},
  };
  return all;
}

/// Options whose meaning depends on the command.
void take_show(const std::string& command, Arguments& arguments, const std::string& text) {
  if (command == "curve") {
    arguments.curve_show = one_of("show", text, curve_show_words());
    return;
  }
  arguments.show = one_of("show", text, table_show_words());
}

void take_output(const std::string& command, Arguments& arguments, const std::string& text) {
  std::string list;
  for (const std::string& ending : output_endings(command)) {
    if (text.ends_with(ending) && text.size() > ending.size()) {
      arguments.output = text;
      return;
    }
    list += (list.empty() ? "" : ", ") + ending;
  }
  throw UsageError("--output: " + in_quotes(text) + " is not accepted; a name ending in " + list);
}

void take_positional(const std::string& command, Arguments& arguments, const std::string& text) {
  // "-h" and the like: there are no short options.
  if (text.size() > 1 && text.front() == '-') fail_unknown(command, text);
  if (text.empty()) throw UsageError("the scenario's name is empty; a file is accepted");
  if (!arguments.scenario_path.empty() && command != "table") {
    throw UsageError("two scenarios, " + in_quotes(arguments.scenario_path) + " and " +
                     in_quotes(text) + "; one is accepted (a value with spaces needs quotes)");
  }
  if (arguments.scenario_path.empty()) arguments.scenario_path = text;
  arguments.scenario_paths.push_back(text);
}

void check_command_has(const std::string& command, const std::string& name) {
  for (const Option& option : option_table()) {
    if (name != option.name || has(option, command)) continue;
    std::string wrong = "--" + name + ": is an option of ";
    wrong.append(joined(option.only)).append(", not of ").append(command);
    wrong.append("; `blendrisk help ").append(command).append("` lists what is accepted");
    throw UsageError(wrong);
  }
}

/// The arguments of new, which reads nothing.
Arguments without_scenario(Arguments arguments) {
  std::string odd = arguments.scenario_path;
  if (!arguments.overrides.empty()) odd = "--" + arguments.overrides.front().key;
  if (odd.empty()) return arguments;
  throw UsageError("new: " + in_quotes(odd) +
                   " is not accepted; `blendrisk new` reads no file and no keys, its answer is on "
                   "standard output");
}

}  // namespace

Arguments parse_arguments(const std::string& command, const std::vector<std::string>& args) {
  Arguments arguments;
  std::set<std::string> seen;
  for (const po::option& option : parse(command, args)) {
    const std::string text = option.value.empty() ? std::string() : option.value.front();
    if (option.position_key >= 0 || option.string_key.empty()) {
      take_positional(command, arguments, text);
      continue;
    }
    if (!seen.insert(option.string_key).second && option.string_key != "reading") {
      throw UsageError("--" + option.string_key + ": is given twice; once is accepted");
    }
    check_command_has(command, option.string_key);
    const auto setter = setters().find(option.string_key);
    if (setter != setters().end() || option.string_key == "show" || option.string_key == "output") {
      arguments.given.insert(option.string_key);
    }
    if (option.string_key == "show") {
      take_show(command, arguments, text);
    } else if (option.string_key == "output") {
      take_output(command, arguments, text);
    } else if (setter != setters().end()) {
      setter->second(arguments, text);
    } else {
      arguments.overrides.push_back({option.string_key, text});
    }
  }
  if (seen.contains("precision") && seen.contains("cases")) {
    throw UsageError("--precision: is given beside --cases; one or the other is accepted");
  }
  if (!arguments.help && !arguments.version) refuse_idle_options(command, arguments);
  if (command == "new") return without_scenario(std::move(arguments));
  const bool may_lack = arguments.help || arguments.version || command == "learn";
  if (arguments.scenario_path.empty() && !may_lack) {
    throw UsageError(command + ": no scenario; `blendrisk " + command +
                     " SCENARIO.ini` is accepted, `blendrisk new` prints a starter");
  }
  return arguments;
}

std::string options_text(const std::string& command) {
  std::string text;
  for (const Option& option : option_table()) {
    if (!has(option, command)) continue;
    std::string head = "  --" + std::string(option.name);
    if (option.argument != nullptr) head += std::string(" ") + option.argument;
    head.resize(std::max<std::size_t>(head.size() + 1, 18), ' ');
    text += head + option.meaning + "\n";
  }
  return text;
}

}  // namespace blendrisk::cli
