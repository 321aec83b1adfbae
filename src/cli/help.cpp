#include "cli/help.hpp"

#include <algorithm>
#include <array>

#include "cli/app.hpp"
#include "cli/options.hpp"
#include "distributions/distribution_text.hpp"
#include "report/plain_text.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::cli {
namespace {

constexpr const char* k_general =
    R"(
Usage: blendrisk COMMAND SCENARIO.ini [--section.key VALUE ...] [options]

Commands:
)";

constexpr const char* k_general_end =
    R"(  help     this text; `help COMMAND` on a command, `help keys` on the keys of a scenario

Start: blendrisk new > car.ini
       blendrisk chance car.ini

)";

constexpr auto k_statuses = std::to_array<Status>({
    {k_answered, "answered"},
    {k_could_not_finish, "could not finish"},
    {k_bad_input, "bad arguments or scenario"},
    {k_risk_not_met, "with --require, answered and the accepted risk is not met"},
});

constexpr const char* k_chance =
    R"help(Usage: blendrisk chance SCENARIO.ini [--section.key VALUE ...] [options]

Filling as the scenario is written: the content the tank lands at, the chance of landing below
limits.minimum or above limits.maximum, of running dry before the fill, and of the nozzle
clicking off before the amount is in.

Any scenario key can be given as an option and wins over the file; one that excludes another
(--heel.reading for heel.content) takes its place. Quantities carry a unit:
  blendrisk chance car.ini --heel.indicated "6 L" --fuel.content "normal(74 %, 3 %)"

Options:
)help";

constexpr const char* k_fill =
    R"help(Usage: blendrisk fill SCENARIO.ini [--section.key VALUE ...] [options]

The smallest amount on the dispenser, at the last fill, that keeps the chance of landing outside
the limits within limits.accepted-risk; what plain arithmetic says and the margin between; the
largest amount where the other limit binds; and where no amount will do, what would.

Options:
)help";

constexpr const char* k_heel =
    R"help(Usage: blendrisk heel SCENARIO.ini [--section.key VALUE ...] [options]

The highest reading from which filling until the nozzle clicks off (or as written, where there are
several fills) keeps the chance of landing outside the limits within limits.accepted-risk; the
lowest that keeps the chance of running dry within limits.dry-risk; the window between, or why
there is none and what would do.

Options:
)help";

constexpr const char* k_arrive =
    R"help(Usage: blendrisk arrive SCENARIO.ini [--section.key VALUE ...] [options]

The reading of the content sensor to wait for before the calibration is switched, with its guard
band against the sensor's error; without a sensor, how much fuel to burn first; how much fuel and
time until the injectors get fuel within the limit, and the chance that they do not yet after
burning so much, or never. Uses [line], [engine] and [sensor] beside the rest of the scenario.

Options:
)help";

constexpr const char* k_update =
    R"help(Usage: blendrisk update SCENARIO.ini --reading "0.3 L: 57 %" [--reading ...] [options]
       blendrisk update SCENARIO.ini --readings LOG.csv [options]
       blendrisk update SCENARIO.ini --readings - [options]

The odds once readings of the content sensor have come in since the fill: whether the injectors
get fuel within the limit by now, what is left to burn, where the tank landed, and what the
readings say of the sensor's bias. A log has the columns reading_percent and burned_l or time_s.
With - each line of standard input is answered by a line: a reading as above, or rows of a log
after its header. Lines that are none are told of and skipped.

Options:
)help";

constexpr const char* k_drivers =
    R"help(Usage: blendrisk drivers SCENARIO.ini [--section.key VALUE ...] [options]

Which uncertainty matters, and what knowing it would be worth: for every uncertain input that the
landing depends on, the safe amount and the highest reading if it were known exactly, at its mean;
the margin that saves; and the share of the landed content's variance that comes from it, alone and
in all (first-order and total Sobol' indices).

Options:
)help";

constexpr const char* k_table =
    R"help(Usage: blendrisk table SCENARIO.ini [MORE.ini ...] --rows AXIS --columns AXIS [options]
       blendrisk table --join PART.csv ... [--output FILE.csv]

A table over two keys. An axis is KEY=FROM:TO:STEP or "KEY=V1; V2; V3"; a plain quantity given to
an uncertain key moves its law there and keeps its shape (exact(78 %) replaces it).
  blendrisk table car.ini --rows heel.indicated=2:10:2L --columns "fuel.content=72 %; 76 %; 80 %"
A large table can be spread: --part 1/4 --output part-1.csv and so on, then --join puts the parts
together, byte for byte as the whole.

Options:
)help";

constexpr const char* k_curve =
    R"help(Usage: blendrisk curve SCENARIO.ini --along AXIS [--by AXIS] [--output FILE] [options]

A risk curve along any key with a quantity, as text, data or a picture: the chance of landing
outside the limits, the safe amount, the landed content with its middle 95 %, or the chance that
the injectors still get fuel outside the limit after burning so much. An axis is KEY=FROM:TO:STEP
or "KEY=V1; V2; V3"; a plain quantity given to an uncertain key moves its law there and keeps its
shape.
  blendrisk curve car.ini --along heel.indicated=2:12:0.2L --by "fuel.content=74 %; 78 %" \
    --output risk.svg
Pictures are drawn by gnuplot; a .csv needs none.

Options:
)help";

constexpr const char* k_guide =
    R"help(Usage: blendrisk guide SCENARIO.ini [--section.key VALUE ...] --output GUIDE.html [options]

A guide for the customer of a shop as one HTML page that needs no network and no script: what to
do step by step with this car's numbers, how much to put in for what the gauge shows and the pump
tested at, how the risk grows, how long to wait and for what reading, what was assumed and on whose
word (the comments beside the scenario's values), cautions, and the scenario itself. Its pictures
are drawn by gnuplot. SOURCE_DATE_EPOCH sets the day it says.

Options:
)help";

constexpr const char* k_learn =
    R"help(Usage: blendrisk learn --pump-tests FILE.csv [--group COLUMN] [--json]
       blendrisk learn --changeover FILE.csv SCENARIO.ini [--section.key VALUE ...] [--json]

Lines of a scenario from logs. Pump tests (a column content_percent) give the law of the next
delivery. A logged changeover (time_s since the new fuel was drawn, reading_percent, and where
logged fuel_rate_l_per_h) gives the volumes of the line that the scenario names, with standard
errors, and the idle rate; what the log cannot tell is said and not guessed. Everything but the
lines themselves is a comment, so that the answer can be pasted whole.

Options:
)help";

constexpr const char* k_new = R"(Usage: blendrisk new > car.ini
       blendrisk new --back > back.ini

Prints a commented starter scenario of an invented car. It runs as it is; put your own numbers in.
Every section is there; lines that begin with ; are not read until you take it away.

Options:
)";

constexpr auto k_topics = std::to_array<Topic>({
    {"chance",
     "filling as written, how likely is it to land below the minimum or above the maximum?",
     k_chance},
    {"fill", "how much must the dispenser show so that the accepted risk is met?", k_fill},
    {"heel", "how empty must the tank be first?", k_heel},
    {"arrive", "how much fuel and time until the injectors get it, and what reading to wait for?",
     k_arrive},
    {"update", "given readings taken since the fill, what are the odds now?", k_update},
    {"drivers", "which uncertainty matters, and what would knowing it be worth in margin?",
     k_drivers},
    {"table", "safe amounts, highest readings or chances over two keys, for one or more scenarios",
     k_table},
    {"curve", "a risk curve along a key, as a picture or as data", k_curve},
    {"guide", "a guide for the customer: one page with steps, table, curves and cautions", k_guide},
    {"learn", "pump tests or a logged changeover in, lines of a scenario out", k_learn},
    {"new", "print a commented starter scenario", k_new},
});

std::string general_text() {
  std::string text = report::wrapped("blendrisk: " + purpose_text()) + k_general;
  for (const Topic& topic : k_topics) {
    std::string head = std::string("  ") + topic.command;
    head.resize(11, ' ');
    text += head + topic.question + "\n";
  }
  std::string statuses_text;
  for (const Status& status : k_statuses) {
    statuses_text += std::to_string(status.number) + " " + status.meaning +
                     (status.number == k_risk_not_met ? "." : "; ");
  }
  return text + k_general_end + report::wrapped(statuses_text, "Exit status: ");
}

std::string correlation_text() {
  const std::string margin(17, ' ');
  return "\n[" + std::string(k_correlation.section) + "]  " + k_correlation.where +
         "\n  KEY, KEY       " + k_correlation.meaning + "\n" + margin + k_correlation.example +
         "\n" + margin + "range: " + k_correlation.range + "\n";
}

constexpr const char* k_values = R"help(
Quantities carry a unit: volume L mL gal imp-gal; content %; fraction % or 1 in 100; rate L/h
mL/min gal/h; time s min h; distance km mi; economy L/100km km/L mpg; price /L /gal, with or
without a currency. Units, keys and laws are read in any case, units also as words ("6 litres");
decimals have a point.
Uncertain values are an exact quantity or a law, which "in [low, high]" after it truncates:
)help";

/// The laws, broken into lines between one and the next.
std::string laws_text() {
  constexpr std::size_t width = 96;
  std::string text;
  std::string line;
  const std::string all = distributions::law_names_text() + ", ";
  for (std::size_t at = 0; at < all.size();) {
    const std::size_t end = std::min(all.find("), ", at), all.size() - 3) + 3;
    const std::string law = all.substr(at, end - at);
    if (line.size() + law.size() > width) {
      text += "  " + line.substr(0, line.size() - 1) + "\n";
      line.clear();
    }
    line += law;
    at = end;
  }
  return text + "  " + line.substr(0, line.size() - 2) + "\n";
}

std::string keys_text() {
  std::string text =
      "Keys of a scenario file, also options of the command line (--section.key VALUE)\n";
  std::string section = "-";
  for (const scenario::Key& key : scenario::keys()) {
    if (key.section.starts_with("fill-") && key.section != "fill-2") continue;
    if (key.section != section) {
      section = key.section;
      text += "\n";
      if (!section.empty()) text += "[" + section + "]";
      if (section == "fill-2")
        text += "  and so on to [fill-" + std::to_string(scenario::k_last_fill) + "]";
      if (!section.empty()) text += "\n";
    }
    std::string head = "  " + key.name;
    head.resize(std::max<std::size_t>(head.size() + 1, 17), ' ');
    text += head + scenario::kind_text(key) + "; " + standing_text(key) + "\n";
    text += std::string(17, ' ') + key.meaning + "\n";
    if (*key.range.text != '\0') {
      text += std::string(17, ' ') + "range: " + std::string(key.range.text) + "\n";
    }
  }
  return text + correlation_text() + k_values + laws_text();
}

}  // namespace

std::string purpose_text() {
  return "the chance that a change between gasoline and high-ethanol fuel lands outside the limits "
         "of an engine's calibration, by Monte Carlo over every uncertain input.";
}

std::span<const Topic> topics() {
  return k_topics;
}

std::span<const Status> statuses() {
  return k_statuses;
}

std::string standing_text(const scenario::Key& key) {
  if (!key.default_text.empty()) return "default: " + key.default_text;
  if (key.default_note == "none") return "optional";
  return (key.default_note.starts_with("the ") ? "default: " : "") + key.default_note;
}

const std::vector<std::string>& command_names() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> all;
    all.reserve(k_topics.size() + 1);
    for (const Topic& topic : k_topics) all.emplace_back(topic.command);
    all.emplace_back("help");
    return all;
  }();
  return names;
}

std::string listed_commands(const std::string& last) {
  std::string list;
  for (const Topic& topic : k_topics) list += std::string(list.empty() ? "" : ", ") + topic.command;
  return list + " and " + last;
}

std::string help_text(const std::string& topic) {
  if (topic.empty() || topic == "help") return general_text();
  if (topic == "keys") return keys_text();
  for (const Topic& known : k_topics) {
    if (topic == known.command) return known.text + options_text(topic);
  }
  throw UsageError("help: no help on " + scenario::in_quotes(topic) + "; " +
                   listed_commands("keys") + " are accepted");
}

}  // namespace blendrisk::cli
