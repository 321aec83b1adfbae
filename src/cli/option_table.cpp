#include <charconv>
#include <cmath>

#include "cli/command.hpp"
#include "cli/output.hpp"
#include "decide/arrive.hpp"
#include "estimate/replicates.hpp"
#include "scenario/quoting.hpp"
#include "units/quantity.hpp"

namespace blendrisk::cli {
namespace {

using scenario::in_quotes;

template <auto Member>
void set(const Option&, const Command&, const std::string&, Arguments& arguments) {
  arguments.*Member = true;
}

template <auto Member>
void keep(const Option&, const Command&, const std::string& text, Arguments& arguments) {
  arguments.*Member = text;
}

[[noreturn]] void refuse(const Option& option, const std::string& text, const char* wrong,
                         const std::string& accepted) {
  throw UsageError("--" + std::string(option.name) + ": " + in_quotes(text) + wrong + "; " +
                   accepted);
}

template <class T>
T number(const Option& option, const std::string& text, T least, T most, const char* accepted) {
  T value{};
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || value < least || value > most) {
    refuse(option, text, " is not accepted", accepted);
  }
  return value;
}

void take_seed(const Option& option, const Command&, const std::string& text, Arguments& to) {
  to.options.seed = number<std::uint64_t>(option, text, 0, UINT64_MAX,
                                          "a whole number from 0 to 18446744073709551615");
}

void take_threads(const Option& option, const Command&, const std::string& text, Arguments& to) {
  to.options.threads = number<unsigned>(option, text, 1, 1024, "a whole number from 1 to 1024");
}

void take_precision(const Option& option, const Command&, const std::string& text, Arguments& to) {
  constexpr const char* k_accepted = "a fraction with its unit, more than 0 % and less than 100 %";
  try {
    to.options.precision = units::parse_quantity(text, units::Dimension::fraction);
  } catch (const units::QuantityError& error) {
    throw UsageError("--precision: " + std::string(error.what()) + "; " + k_accepted);
  }
  if (to.options.precision > 0.0 && to.options.precision < 1.0) return;
  refuse(option, text, " is out of range", k_accepted);
}

void take_cases(const Option& option, const Command&, const std::string& text, Arguments& to) {
  constexpr const char* k_accepted = "a whole number from 32 to 1e12, such as 100000 or 1e6";
  const auto value = number<double>(option, text, 32.0, 1e12, k_accepted);
  if (value != std::floor(value)) refuse(option, text, " is not whole", k_accepted);
  to.options.cases = static_cast<std::uint64_t>(value);
}

/// @return the word that the text is, counted from the default
std::size_t chosen(const Option& option, const Command& command, const std::string& text) {
  std::vector<std::string> words = accepted_words(option, command);
  const auto found = std::ranges::find(words, text);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  std::ranges::sort(words);
  std::string list;
  for (const std::string& word : words) list += (list.empty() ? "" : " or ") + word;
  refuse(option, text, " is not known", list);
}

void take_method(const Option& option, const Command& command, const std::string& text,
                 Arguments& to) {
  const bool plain = chosen(option, command, text) == 1;
  to.options.method = plain ? estimate::Method::plain : estimate::Method::conditional;
}

void take_units(const Option& option, const Command& command, const std::string& text,
                Arguments& to) {
  const bool us = chosen(option, command, text) == 1;
  to.units = us ? report::UnitSystem::us : report::UnitSystem::metric;
}

void take_scale(const Option& option, const Command& command, const std::string& text,
                Arguments& to) {
  to.linear = chosen(option, command, text) == 1;
}

void take_show(const Option& option, const Command& command, const std::string& text,
               Arguments& to) {
  chosen(option, command, text);
  to.show = text;
}

void take_reading(const Option&, const Command&, const std::string& text, Arguments& to) {
  to.reading.push_back(text);
}

void take_part(const Option& option, const Command&, const std::string& text, Arguments& to) {
  constexpr const char* k_accepted = "K/N with K from 1 to N, and N at most 1000000, such as 2/8";
  const std::size_t slash = text.find('/');
  if (slash == std::string::npos) refuse(option, text, " is not accepted", k_accepted);
  report::Part& part = to.part.emplace();
  part.count = number<std::size_t>(option, text.substr(slash + 1), 1, 1'000'000, k_accepted);
  part.number = number<std::size_t>(option, text.substr(0, slash), 1, part.count, k_accepted);
}

void take_output(const Option& option, const Command& command, const std::string& text,
                 Arguments& to) {
  to.output = text;
  std::string list;
  for (const std::string& ending : words_of(command.output)) {
    if (text.ends_with(ending) && text.size() > ending.size()) return;
    list += (list.empty() ? "" : ", ") + ending;
  }
  refuse(option, text, " is not accepted", "a name ending in " + list);
}

/// Solves for amounts or readings alone.
bool solves(const Asked& asked) {
  return asked.is("fill") || asked.is("heel") || asked.show() == "amount" || asked.show() == "heel";
}

/// The answer has no text and nothing that is rounded to what a display shows.
bool only_si(const Asked& asked) {
  if (asked.is("chance") || asked.is("update")) return asked.arguments.json;
  if (asked.show().empty() || solves(asked)) return false;
  return asked.is("table") ? asked.arguments.json || asked.data()
                           : asked.arguments.json && !asked.picture();
}

bool too_many_for_arrive(const Asked& asked) {
  return asked.is("arrive") && asked.arguments.options.method == estimate::Method::plain &&
         *asked.arguments.options.cases > decide::k_most_followed;
}

bool too_many_for_conditional(const Asked& asked) {
  return asked.arguments.options.method == estimate::Method::conditional &&
         *asked.arguments.options.cases > estimate::k_largest_round;
}

bool coarser_than_confirmed(const Asked& asked) {
  return solves(asked) && asked.arguments.options.precision > estimate::Options{}.precision;
}

bool shows_landed(const Asked& asked) {
  return asked.show() == "landed";
}

bool no_picture_of_chances(const Asked& asked) {
  return !asked.picture() || (asked.show() != "chance" && asked.show() != "arrival");
}

const Idle k_no_chances{
    solves,
    "does nothing where amounts or readings are solved for; chance, arrive, drivers and guide, and "
    "table and curve with --show chance, heed it"};

const std::vector<Option>& table() {
  static const std::vector<Option> options{
      {"json",
       nullptr,
       "one JSON object on standard output",
       set<&Arguments::json>,
       "",
       {{[](const Asked& asked) { return asked.arguments.part.has_value(); },
         "does nothing beside --part, which is for a .csv to join; a whole table has it"}}},
      {"seed", "N", "seed of the draws, default 1; the same seed gives the same answer", take_seed},
      {"threads", "N", "threads to use, default as many as the machine has", take_threads},
      {"precision",
       "P",
       "relative standard error to reach, default 1 %",
       take_precision,
       "",
       {{shows_landed,
         "does nothing to landed contents, which have points of their own; curve --show chance, "
         "arrival or amount heeds it"},
        {coarser_than_confirmed,
         "does nothing above 1 % where amounts or readings are solved for, which are confirmed to "
         "that at least; 1 % or less is accepted"}}},
      {"cases",
       "N",
       "a fixed number of cases instead, at least 32",
       take_cases,
       "",
       {k_no_chances,
        {shows_landed,
         "does nothing to landed contents, which have points of their own; curve --show chance or "
         "arrival heeds it"},
        {too_many_for_arrive,
         "is more than arrive --method plain follows, which holds all of them in memory; at most "
         "1000000 is accepted"},
        {too_many_for_conditional,
         "is more than the conditional method uses; at most 134217728, or --method plain, is "
         "accepted"}}},
      {"method",
       "NAME",
       "conditional (default) or plain",
       take_method,
       "conditional plain",
       {k_no_chances,
        {[](const Asked& asked) { return asked.is("curve") && asked.show() != "chance"; },
         "does nothing to this curve, which is computed on points; curve --show chance heeds "
         "it"}}},
      {"units",
       "NAME",
       "metric (default) or us: of texts and pictures, and what displays show",
       take_units,
       "metric us",
       {{only_si,
         "does nothing to numbers for programs, which are in litres and fractions; a text answer "
         "or a picture heeds it"}}},
      {"reading", "TEXT", R"("0.3 L: 57 %" or "4 min: 57 %"; repeated for more)", take_reading},
      {"readings", "FILE", "a .csv log of readings, or - for standard input",
       keep<&Arguments::readings>},
      {"pump-tests", "FILE", "a .csv of tests with a column content_percent",
       keep<&Arguments::pump_tests>},
      {"group",
       "COLUMN",
       "with --pump-tests: a law for each value of a column, too",
       keep<&Arguments::group>,
       "",
       {{[](const Asked& asked) { return asked.arguments.pump_tests.empty(); },
         "goes with --pump-tests"}}},
      {"changeover", "FILE", "a .csv log with time_s, reading_percent, fuel_rate_l_per_h",
       keep<&Arguments::changeover>},
      {"rows", "AXIS", "key and values down the table: heel.indicated=2:20:1L",
       keep<&Arguments::rows>},
      {"columns", "AXIS", R"(across: "fuel.content=70 %; 75 %; 80 %")", keep<&Arguments::columns>},
      {"along", "AXIS", "key and values of the curve: heel.indicated=2:20:0.5L",
       keep<&Arguments::along>},
      {"by", "AXIS", R"(one curve a value: "fuel.content=74 %; 78 %")", keep<&Arguments::by>},
      {"after", "MOMENT", R"(for --show arrival: "0.4 L" burned, or "10 min")",
       keep<&Arguments::after>},
      {"scale",
       "NAME",
       "log (default) or linear, of chances",
       take_scale,
       "log linear",
       {{no_picture_of_chances,
         "does nothing without a picture of chances; --output FILE.svg, .png or .pdf, with --show "
         "chance or arrival, heeds it"}}},
      {"show", "NAME",
       "table: amount (default), heel, chance; curve: chance (default), amount, landed, arrival",
       take_show},
      {"part",
       "K/N",
       "compute the K-th of N shares, for --join",
       take_part,
       "",
       {{[](const Asked& asked) { return !asked.data(); },
         "needs --output FILE.csv, which --join puts together"}}},
      {"join", nullptr, "put the files of parts together", set<&Arguments::join>},
      {"output", "FILE",
       "write a file, whole or not at all: a picture (.svg, .png, .pdf), data (.csv), a page "
       "(.html)",
       take_output},
      {"require", nullptr, "exit with 3 where the accepted risk is not met",
       set<&Arguments::require>},
      {"back", nullptr, "the way back, from high-ethanol fuel to gasoline, with a maximum",
       set<&Arguments::back>},
      {"help", nullptr, "help on the command", set<&Arguments::help>},
      {"version", nullptr, "version of the program", set<&Arguments::version>},
  };
  return options;
}

}  // namespace

bool Asked::is(std::string_view name) const {
  return command.name == name;
}

std::string_view Asked::show() const {
  if (!arguments.show.empty()) return arguments.show;
  const std::string_view all = command.shows;
  return all.substr(0, all.find(' '));
}

bool Asked::picture() const {
  return picture_format(arguments.output).has_value();
}

std::span<const Option> option_table() {
  return table();
}

const Option* find_option(std::string_view name) {
  const auto found = std::ranges::find(table(), name, &Option::name);
  return found == table().end() ? nullptr : &*found;
}

bool has(const Option& option, const Command& command) {
  const std::string_view name = option.name;
  if (name == "help" || name == "version") return true;
  return std::ranges::count(words_of(command.options), name) > 0;
}

std::vector<std::string> accepted_words(const Option& option, const Command& command) {
  return words_of(std::string_view(option.name) == "show" ? command.shows : option.words);
}

std::vector<std::string> words_of(std::string_view list) {
  std::vector<std::string> words;
  while (!list.empty()) {
    words.emplace_back(list.substr(0, list.find(' ')));
    list.remove_prefix(std::min(words.back().size() + 1, list.size()));
  }
  return words;
}

std::string commands_with(const Option& option) {
  std::vector<std::string> names;
  for (const Command* command : commands()) {
    if (has(option, *command)) names.emplace_back(command->name);
  }
  if (names.size() == commands().size()) return "";
  std::string text;
  for (const std::string& name : names) {
    if (!text.empty()) text += &name == &names.back() ? " and " : ", ";
    text += name;
  }
  return text;
}

}  // namespace blendrisk::cli
