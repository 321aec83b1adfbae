#include "cli/manual.hpp"

#include <array>
#include <string_view>
#include <vector>

#include "cli/help.hpp"
#include "cli/option_table.hpp"
#include "cli/roff.hpp"
#include "report/cautions.hpp"

namespace blendrisk::cli {
namespace {

/// Columns of an example that fit a terminal of 80 beside the margin of a page.
constexpr std::size_t k_columns = 72;

constexpr std::string_view k_usage = "Usage: ";

struct Sample {
  const char* what;
  const char* command;
};

/// Each runs after the ones before it.
constexpr auto k_samples = std::to_array<Sample>({
    {"A scenario to start from, and the chance of landing outside its limits:",
     "blendrisk new > car.ini\nblendrisk chance car.ini"},
    {"With another pump, as data for another program:",
     "blendrisk chance car.ini --fuel.content \"tests(71 %, 74 %, 73 %)\" --json"},
    {"How much to put in, and how empty to run first:",
     "blendrisk fill car.ini --limits.minimum \"58 %\"\nblendrisk heel car.ini"},
    {"A table for the wall of a shop:",
     "blendrisk table car.ini --rows heel.indicated=2:8:2L --columns \"fuel.content=72 %; 76 %\""},
    {"The risk along the heel, as data:",
     "blendrisk curve car.ini --along heel.indicated=1:12:1L --output risk.csv"},
});

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    lines.emplace_back(text.substr(0, end));
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  }
  return lines;
}

/// The usage at the head of a topic, a line each.
std::string usage_of(const std::string& text) {
  std::string source;
  for (const std::string& line : lines_of(text)) {
    if (line.empty()) break;
    source += roff::synopsis(std::string_view(line).substr(k_usage.size()));
  }
  return source;
}

/// A line of the help that a backslash carries on is one command.
std::vector<std::string> example_lines(const std::vector<std::string>& shown) {
  std::vector<std::string> commands;
  bool carried = false;
  for (const std::string& line : shown) {
    const std::string part = line.substr(line.find_first_not_of(' '));
    if (carried) {
      commands.back() += " " + part;
    } else {
      commands.push_back(part);
    }
    std::string& command = commands.back();
    carried = command.ends_with(" \\");
    if (carried) command.resize(command.size() - 2);
  }
  std::vector<std::string> lines;
  for (const std::string& command : commands) {
    for (std::string& line : roff::broken_command(command, k_columns)) {
      lines.push_back(std::move(line));
    }
  }
  return lines;
}

/// Paragraphs and examples of a topic, without its usage and the head of its options.
std::string body_of(const std::string& text) {
  std::string source;
  std::string prose;
  std::vector<std::string> shown;
  const auto flush = [&] {
    if (!prose.empty()) source += roff::paragraph(prose);
    if (!shown.empty()) source += roff::example(example_lines(shown));
    prose.clear();
    shown.clear();
  };
  bool past_usage = false;
  for (const std::string& line : lines_of(text)) {
    if (line == "Options:") break;
    if (line.empty()) {
      flush();
      past_usage = true;
    } else if (past_usage && line.starts_with("  ")) {
      if (shown.empty()) flush();
      shown.push_back(line);
    } else if (past_usage) {
      if (!shown.empty()) flush();
      prose += (prose.empty() ? "" : " ") + line;
    }
  }
  flush();
  return source;
}

std::string commands_section() {
  std::string source = roff::section("COMMANDS");
  for (const Topic& topic : topics()) {
    source += roff::subsection(topic.command) + usage_of(topic.text) + body_of(topic.text);
  }
  return source + roff::subsection("help") + roff::synopsis("blendrisk help [TOPIC]") +
         roff::paragraph(
             "The help on the program, on a command, or with `keys` on the keys of a scenario.");
}

std::string options_section() {
  std::string source =
      roff::section("OPTIONS") +
      roff::entry(roff::usage("--section.key VALUE"),
                  "Any key of a scenario, as in --heel.indicated \"4 L\"; it wins over the file.");
  for (const Option& option : option_table()) {
    std::string tag = "--" + std::string(option.name);
    if (option.argument != nullptr) tag += " " + std::string(option.argument);
    source += roff::entry(roff::usage(tag), option.meaning);
    if (option.only != nullptr) source += ".br\nWith " + joined(option.only) + ".\n";
  }
  return source;
}

std::string examples_section() {
  std::string source = roff::section("EXAMPLES");
  for (const Sample& sample : k_samples) {
    source += roff::paragraph(sample.what) + roff::example(example_lines(lines_of(sample.command)));
  }
  return source;
}

}  // namespace

std::string program_manual(const std::string& date) {
  std::string source = roff::title("blendrisk", 1, date) + roff::section("NAME") +
                       R"(blendrisk \- chance that a change of fuel lands outside its limits)"
                       "\n" +
                       roff::section("SYNOPSIS");
  for (const char* line : {"blendrisk COMMAND SCENARIO.ini [--section.key VALUE ...] [options]",
                           "blendrisk new > car.ini", "blendrisk new --back > back.ini",
                           "blendrisk help [COMMAND|keys]", "blendrisk --version"}) {
    source += roff::synopsis(line);
  }
  source += roff::section("DESCRIPTION") + roff::paragraph("Computes " + purpose_text()) +
            roff::paragraph(
                "What is known of the car, of the old fuel and of the pump stands in a scenario "
                "file, see blendrisk-scenario(5). Each command answers a question about it:");
  for (const Topic& topic : topics())
    source += roff::entry(roff::bold(topic.command), topic.question);
  source += roff::paragraph(
      "Errors are one line on standard error; then nothing is written to standard output or to "
      "the file of --output. The same seed gives the same answer on any number of threads.");
  source += commands_section() + options_section() + roff::section("EXIT STATUS");
  for (const Status& status : statuses()) {
    source += roff::entry(roff::bold(std::to_string(status.number)), status.meaning);
  }
  source += roff::section("ENVIRONMENT") +
            roff::entry(roff::bold("SOURCE_DATE_EPOCH"),
                        "Seconds since 1970 that give the day on a guide; today where not set.") +
            roff::entry(roff::bold("PATH"), "Where gnuplot, which draws pictures, is looked for.") +
            roff::section("FILES") +
            roff::entry(roff::bold("/usr/share/doc/blendrisk/examples"),
                        "Invented cars to try, where the Debian package is installed.") +
            roff::entry(roff::bold("/usr/share/doc/blendrisk/docs"),
                        "Tutorial, method, and what each answer means.") +
            examples_section() + roff::section("CAUTION");
  for (const std::string_view caution : report::k_cautions) source += roff::paragraph(caution);
  return roff::finished(source + roff::section("SEE ALSO") +
                        R"(\fBblendrisk\-scenario\fR(5), \fBgnuplot\fR(1))"
                        "\n");
}

}  // namespace blendrisk::cli
