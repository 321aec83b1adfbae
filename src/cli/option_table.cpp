#include <charconv>
#include <cmath>

#include "cli/command.hpp"
#include "cli/gnuplot.hpp"
#include "decide/arrive.hpp"
#include "estimate/randomised_qmc.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/quantity.hpp"

namespace blendrisk::cli {
namespace {

using text::in_quotes;

template <auto Member>
void set(const Given&, Arguments& to) {
  to.*Member = true;
}

template <auto Member>
void keep(const Given& given, Arguments& to) {
  to.*Member = given.text;
}

[[noreturn]] void refuse(const Given& given, const char* wrong, const std::string& accepted) {
  throw Error(in_quotes(given.text) + wrong, accepted, {std::string("--") + given.option.name});
}

template <class T>
T number(const Given& given, T least, T most, const std::string& accepted) {
  T value{};
  const char* const last = given.text.data() + given.text.size();
  const auto [end, error] = std::from_chars(given.text.data(), last, value);
  if (error != std::errc() || end != last || value < least || value > most) {
    refuse(given, " is not accepted", accepted);
  }
  return value;
}

/// @return the number of the word that is given, 0 for the default
std::size_t chosen(const Given& given) {
  std::vector<std::string> words = accepted_words(given.option, given.command);
  const auto found = std::ranges::find(words, given.text);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  std::ranges::sort(words);
  refuse(given, " is not known", text::listed(words, " or "));
}

void take_seed(const Given& given, Arguments& to) {
  to.options.seed =
      number<std::uint64_t>(given, 0, UINT64_MAX, "a whole number from 0 to 18446744073709551615");
}

void take_threads(const Given& given, Arguments& to) {
  to.options.threads = number<unsigned>(given, 1, 1024, "a whole number from 1 to 1024");
}

/// More than none and less than all.
double part(const Given& given) {
  const std::string accepted = "a fraction with its unit, more than 0 % and less than 100 %";
  const double value = text::at({std::string("--") + given.option.name}, [&] {
    return units::parse_quantity(given.text, units::Dimension::fraction, accepted);
  });
  if (!(value > 0.0 && value < 1.0)) refuse(given, " is out of range", accepted);
  return value;
}

void take_precision(const Given& given, Arguments& to) {
  to.options.precision = part(given);
  to.options.decision_serves = false;
}

void take_year_risk(const Given& given, Arguments& to) {
  to.year_risk = part(given);
}

void take_cost_of_miss(const Given& given, Arguments& to) {
  const std::string accepted = "a plain number above 0, in the money of the prices, such as 900";
  const auto cost = number<double>(given, 0.0, 1e12, accepted);
  if (!(cost > 0.0)) refuse(given, " is no cost", accepted);
  to.cost_of_miss = cost;
}

void take_cases(const Given& given, Arguments& to) {
  const std::string accepted = "a whole number from 32 to 1e12, such as 100000 or 1e6";
  const auto value = number<double>(given, 32.0, 1e12, accepted);
  if (value != std::floor(value)) refuse(given, " is not whole", accepted);
  to.options.cases = static_cast<std::uint64_t>(value);
}

void take_method(const Given& given, Arguments& to) {
  to.options.method = chosen(given) == 1 ? estimate::Method::crude : estimate::Method::conditional;
}

void take_units(const Given& given, Arguments& to) {
  to.units = chosen(given) == 1 ? answer::UnitSystem::us : answer::UnitSystem::metric;
}

/// By name or by tag, in the order of the languages.
void take_language(const Given& given, Arguments& to) {
  to.language = &answer::languages()[chosen(given) / 2];
}

void take_scale(const Given& given, Arguments& to) {
  to.linear = chosen(given) == 1;
}

void take_show(const Given& given, Arguments& to) {
  chosen(given);
  to.show = given.text;
}

void take_reading(const Given& given, Arguments& to) {
  to.reading.push_back(given.text);
}

/// Patterns are written out where the files are read.
template <auto Member>
void add_files(const Given& given, Arguments& to) {
  if (given.text.empty()) refuse(given, " is not accepted", "a file, or a pattern such as '*.ini'");
  (to.*Member).push_back(given.text);
}

void take_where(const Given& given, Arguments& to) {
  const std::size_t equals = given.text.find('=');
  if (equals == 0 || equals == std::string::npos) {
    refuse(given, " is not accepted", "COLUMN=VALUE, such as car=van");
  }
  to.where.emplace_back(text::trimmed(given.text.substr(0, equals)),
                        text::trimmed(given.text.substr(equals + 1)));
}

void take_started(const Given& given, Arguments& to) {
  to.started = units::clock_time(given.text);
  if (!to.started) {
    refuse(given, " is no time of a clock", "18:04, 18:04:30 or \"2026-11-27 18:04:30\"");
  }
}

void take_day(const Given& given, Arguments& to) {
  to.on_day = units::calendar_day(given.text);
  if (!to.on_day) refuse(given, " is no date", "year-month-day as in 2026-11-27");
}

void take_same_delivery(const Given& given, Arguments& to) {
  to.same_delivery_days = number<double>(given, 0.0, 1000.0, "a number of days from 0 to 1000");
}

void take_part(const Given& given, Arguments& to) {
  const std::string accepted = "K/N with K from 1 to N, and N at most 1000000, such as 2/8";
  const std::size_t slash = given.text.find('/');
  if (slash == std::string::npos) refuse(given, " is not accepted", accepted);
  const auto part_of = [&](const std::string& text, std::size_t most) {
    return number<std::size_t>({given.option, given.command, text}, 1, most, accepted);
  };
  const std::size_t count = part_of(given.text.substr(slash + 1), 1'000'000);
  to.part = {part_of(given.text.substr(0, slash), count), count};
}

void take_output(const Given& given, Arguments& to) {
  to.output = given.text;
  if (given.command.directory && !to.output.empty()) return;
  const std::vector<std::string> endings = words_of(given.command.output);
  for (const std::string& ending : endings) {
    if (to.output.ends_with(ending) && to.output.size() > ending.size()) return;
  }
  refuse(given, " is not accepted", "a name ending in " + text::listed(endings));
}

/// Solves for amounts or readings alone.
bool solves(const Asked& asked) {
  return asked.is("fill") || asked.is("heel") || asked.show() == "amount" || asked.show() == "heel";
}

/// The answer has no text and nothing that is rounded to what a display shows.
bool only_si(const Asked& asked) {
  const bool json = asked.arguments.json;
  if (asked.is("chance") || asked.is("update")) return json;
  if (asked.is("table")) return !solves(asked) && (json || asked.data());
  return asked.is("curve") && !solves(asked) && json && !asked.picture();
}

bool is_crude(const Asked& asked) {
  return asked.arguments.options.method == estimate::Method::crude;
}

bool shows_landed(const Asked& asked) {
  return asked.show() == "landed";
}

const Idle k_idle_json[] = {
    {[](const Asked& asked) { return asked.arguments.part.has_value(); },
     "does nothing beside --part, which is for a .csv to join; a whole table has it"}};

const Idle k_idle_precision[] = {
    {shows_landed,
     "does nothing to landed contents, which have points of their own; curve --show chance, "
     "arrival or amount heeds it"},
    {[](const Asked& asked) {
       return solves(asked) && asked.arguments.options.precision > estimate::Options{}.precision;
     },
     "does nothing above 1 % where amounts or readings are solved for, which are confirmed to that "
     "at least; 1 % or less is accepted"}};

const Idle k_idle_lines[] = {
    {[](const Asked& asked) { return asked.arguments.readings == "-"; },
     "does nothing to readings that come in one by one; --readings FILE.csv, with all of them, "
     "heeds it"}};

constexpr Idle k_idle_where_solved = {
    solves,
    "does nothing where amounts or readings are solved for; chance, arrive, drivers and guide, and "
    "table and curve with --show chance, heed it"};

const Idle k_idle_cases[] = {
    k_idle_where_solved,
    {shows_landed,
     "does nothing to landed contents, which have points of their own; curve --show chance or "
     "arrival heeds it"},
    {[](const Asked& asked) {
       return asked.is("arrive") && is_crude(asked) &&
              *asked.arguments.options.cases > decide::k_most_followed;
     },
     "is more than arrive --method crude follows, which holds all of them in memory; at most "
     "1000000 is accepted"},
    {[](const Asked& asked) {
       return !is_crude(asked) && *asked.arguments.options.cases > estimate::k_largest_round;
     },
     "is more than the conditional method uses; at most 134217728, or --method crude, is "
     "accepted"}};

const Idle k_idle_method[] = {
    k_idle_where_solved,
    {[](const Asked& asked) { return asked.is("curve") && asked.show() != "chance"; },
     "does nothing to this curve, which is computed on points; curve --show chance heeds it"}};

const Idle k_idle_units[] = {
    {[](const Asked& asked) { return !asked.arguments.cars.empty() && asked.show() == "chance"; },
     "does nothing to chances of cars and pumps; --show amount or heel heeds it"},
    {only_si,
     "does nothing to numbers for programs, which are in litres and fractions; a text answer or a "
     "picture heeds it"}};

const Idle k_idle_beside_changeover[] = {
    {[](const Asked& asked) { return asked.is("learn") && asked.arguments.log.empty(); },
     "goes with --log"}};

const Idle k_idle_started[] = {
    {[](const Asked& asked) {
       return asked.is("update") ? asked.arguments.readings.empty()
                                 : asked.arguments.changeover.empty();
     },
     "goes with a log of clock times, --readings of update or --changeover of learn"}};

const Idle k_idle_scale[] = {
    {[](const Asked& asked) {
       return !asked.picture() || (asked.show() != "chance" && asked.show() != "arrival");
     },
     "does nothing without a picture of chances; --output FILE.svg, .png or .pdf, with --show "
     "chance or arrival, heeds it"}};

const Idle k_idle_show[] = {
    {[](const Asked& asked) { return asked.is("verify") && !asked.picture(); },
     "does nothing to verify without a picture; --output FILE.svg, .png or .pdf heeds it"}};

const Idle k_idle_part[] = {{[](const Asked& asked) { return !asked.data(); },
                             "needs --output FILE.csv, which --join puts together"}};

using A = Arguments;  // or every row is two lines
const Option k_options[] = {
    {"cars", "FILES", "scenarios of cars, each with each pump: 'cars/*.ini', or several files",
     add_files<&A::cars>},
    {"pumps", "FILES", "pumps, whose keys win over a car's: 'pumps/*.ini', or several files",
     add_files<&A::pumps>},
    {"changes", "N", "changes a year of every car at every pump, or a .csv with car, pump, changes",
     keep<&A::changes>},
    {"year-risk", "P", "chance of any miss in a year that the accepted risk has to keep to",
     take_year_risk},
    {"cost-of-miss", "N", "money that a miss costs, held against that of extra fuel",
     take_cost_of_miss},
    {"json", nullptr, "one JSON object on standard output", set<&A::json>, "", k_idle_json},
    {"seed", "N", "seed of the draws, default 1; the same seed gives the same answer", take_seed},
    {"threads", "N", "threads to use, default as many as the machine has", take_threads},
    {"precision", "P", "relative standard error to reach, default 1 %", take_precision, "",
     k_idle_precision},
    {"cases", "N", "a fixed number of cases instead, at least 32", take_cases, "", k_idle_cases},
    {"method", "NAME", "conditional (default) or crude", take_method, "conditional crude",
     k_idle_method},
    {"units", "NAME", "metric (default) or us: of texts and pictures, and what displays show",
     take_units, "metric us", k_idle_units},
    {"language", "NAME", "of a page: english (default) or german, or their tags en and de",
     take_language, "english en german de"},
    {"reading", "TEXT", R"("0.3 L: 57 %" or "4 min: 57 %"; repeated for more)", take_reading},
    {"readings", "FILE", "a .csv log of readings, or - for standard input", keep<&A::readings>},
    {"log", "FILE", "a .csv log of fills and tests, or of tests of the pump alone", keep<&A::log>},
    {"where", "COLUMN=VALUE", "rows of a log whose cell is that; repeated for more columns",
     take_where, "", k_idle_beside_changeover},
    {"group", "COLUMN", "a law or a verdict for each value of a column of the log, too",
     keep<&A::group>, "", k_idle_beside_changeover},
    {"learn", nullptr, "forecast each row by laws learnt from the rows of the days before it",
     set<&A::learn>},
    {"pump", "PUMP", "the pump of the log whose next delivery is wanted", keep<&A::pump>, "",
     k_idle_beside_changeover},
    {"car", "CAR", "the car of the log, where it is not called as the scenario", keep<&A::car>, "",
     k_idle_beside_changeover},
    {"on", "DATE", "the day of the next delivery, where a season is told; else the last test's",
     take_day, "", k_idle_beside_changeover},
    {"same-delivery", "DAYS",
     "tests of one pump within so many days are of one delivery, default 3", take_same_delivery, "",
     k_idle_beside_changeover},
    {"changeover", "FILE", "a .csv log with time_s or clock, reading_percent, fuel_rate_l_per_h",
     keep<&A::changeover>},
    {"started", "CLOCK", "18:04:00: time 0 of a log with a column clock, else its first row is",
     take_started, "", k_idle_started},
    {"rows", "AXIS", "key and values down the table: heel.indicated=2:20:1L", keep<&A::rows>},
    {"columns", "AXIS", R"(across: "fuel.content=70 %; 75 %; 80 %")", keep<&A::columns>},
    {"along", "AXIS", "key and values of the curve: heel.indicated=2:20:0.5L", keep<&A::along>},
    {"by", "AXIS", R"(one curve a value: "fuel.content=74 %; 78 %")", keep<&A::by>},
    {"after", "MOMENT", R"(for --show arrival: "0.4 L" burned, or "10 min")", keep<&A::after>},
    {"scale", "NAME", "log (default) or linear, of chances", take_scale, "log linear",
     k_idle_scale},
    {"show", "NAME",
     "table: amount (default), heel, chance; curve: chance (default), amount, landed, arrival; "
     "verify: shares (default), reliability, rows",
     take_show, "", k_idle_show},
    {"part", "K/N", "compute the K-th of N shares, for --join", take_part, "", k_idle_part},
    {"join", nullptr, "put the files of parts together", set<&A::join>},
    {"output", "FILE",
     "write a file, whole or not at all: a picture (.svg, .png, .pdf), data (.csv), a page (.html)",
     take_output},
    {"lines", nullptr, "what is known then as lines of a scenario, for the next fill",
     set<&A::lines>, "", k_idle_lines},
    {"static", nullptr, "a page without script, that computes nothing", set<&A::static_page>},
    {"require", nullptr, "exit with 3 where the accepted risk is not met", set<&A::require>},
    {"back", nullptr, "the way back, from high-ethanol fuel to gasoline, with a maximum",
     set<&A::back>},
    {"help", nullptr, "help on the command", set<&A::help>},
    {"version", nullptr, "version of the program", set<&A::version>},
};

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
  return k_options;
}

const Option* find_option(std::string_view name) {
  const auto* const found = std::ranges::find(k_options, name, &Option::name);
  return found == std::end(k_options) ? nullptr : found;
}

bool may_be_repeated(std::string_view option) {
  return option == "reading" || option == "where" || option == "cars" || option == "pumps";
}

bool has(const Option& option, const Command& command) {
  const std::string_view name = option.name;
  return name == "help" || name == "version" ||
         std::ranges::count(words_of(command.options), name) > 0;
}

std::vector<std::string> accepted_words(const Option& option, const Command& command) {
  return words_of(std::string_view(option.name) == "show" ? command.shows : option.words);
}

std::vector<std::string> words_of(std::string_view list) {
  if (list.empty()) return {};
  const std::vector<std::string_view> words = text::pieces(list, ' ');
  return {words.begin(), words.end()};
}

std::string commands_with(const Option& option) {
  std::vector<std::string> names;
  for (const Command* command : commands()) {
    if (has(option, *command)) names.emplace_back(command->name);
  }
  return names.size() == commands().size() ? "" : text::enumerated(std::move(names));
}

}  // namespace blendrisk::cli
