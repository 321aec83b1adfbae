#include <array>
#include <string_view>

#include "cli/commands.hpp"
#include "cli/help.hpp"
#include "cli/manual.hpp"
#include "cli/roff.hpp"
#include "distributions/distribution_text.hpp"
#include "scenario/keys.hpp"
#include "units/quantity.hpp"

namespace blendrisk::cli {
namespace {

using units::Dimension;

constexpr std::array k_dimensions{Dimension::volume,  Dimension::content, Dimension::fraction,
                                  Dimension::rate,    Dimension::time,    Dimension::distance,
                                  Dimension::economy, Dimension::price};

std::string description() {
  return roff::section("DESCRIPTION") +
         roff::paragraph(
             "A scenario tells `blendrisk` what is known of a car, of the old fuel in its tank, of "
             "the pump and of the limits of the engine's calibration. It is a text of `[section]` "
             "lines and `key = value` lines; # starts a comment, and so does ; at "
             "the start of a line or after a space. Unknown sections and keys are "
             "errors, and so are a key given twice, a quantity with no unit or a wrong one, and a "
             "value outside its range.") +
         roff::paragraph(
             "Every key is also an option of the command line, --section.key VALUE, which wins "
             "over the file; one that excludes another (heel.reading and heel.content) takes its "
             "place. `blendrisk new` prints a scenario to start from.");
}

std::string quantities() {
  std::string source =
      roff::section("QUANTITIES") +
      roff::paragraph(
          "A number and a unit; the space between is free, and so is the case: 6 L, 6l and 6 "
          "litres are one. Decimals have a point. The units in parentheses:");
  for (const Dimension dimension : k_dimensions) {
    source += roff::entry(roff::bold(units::name(dimension)), units::accepted_text(dimension));
  }
  return source +
         roff::paragraph(
             "A gal is the US liquid gallon, 3.785411784 L; an imp-gal is 4.54609 L; mpg "
             "is miles per US gallon. A content is the volume fraction of ethanol. A currency "
             "may stand in a price (0.98 EUR/L), and what a gauge shows may be a share of the "
             "tank (1/8 tank, 12 % of tank).");
}

std::string uncertain_values() {
  std::string source =
      roff::section("UNCERTAIN VALUES") +
      roff::paragraph(
          "An exact quantity, or a law. Every number carries its unit; a, b and dof have none.");
  for (const distributions::LawForm& form : distributions::law_forms()) {
    source += roff::entry(roff::bold(form.text), form.meaning);
  }
  return source +
         roff::paragraph(
             "After a law or a quantity, `in [low, high]` cuts it off there. Draws outside the "
             "physical range are held at its bound, and the answer says so where that happens in "
             "more than 0.1 % of cases. The range given with a key applies to exact values and to "
             "the mean of a law.");
}

std::string keys() {
  std::string source = roff::section("KEYS");
  std::string section = "-";
  for (const scenario::Key& key : scenario::keys()) {
    if (key.section.starts_with("fill-") && key.section != "fill-2") continue;
    if (key.section != section) {
      section = key.section;
      if (!section.empty()) source += roff::subsection("[" + section + "]");
      if (section == "fill-2") {
        source += roff::paragraph("And so on to [fill-" + std::to_string(scenario::k_last_fill) +
                                  "], without a gap.");
      }
    }
    source += roff::entry(roff::bold(key.name) + " = " + roff::text(scenario::kind_text(key)),
                          key.meaning) +
              ".br\n" + roff::text(standing_text(key)) + "\n";
    if (*key.range.text != '\0')
      source += ".br\n" + roff::text(std::string("range: ") + key.range.text) + "\n";
  }
  return source + roff::subsection("[" + std::string(k_correlation.section) + "]") +
         roff::paragraph(std::string("Stands ") + k_correlation.where + ".") +
         roff::entry(roff::bold("KEY, KEY") + " = number", k_correlation.meaning) + ".br\n" +
         roff::text(std::string("range: ") + k_correlation.range) + "\n.br\n" +
         roff::text(std::string("as in ") + k_correlation.example) + "\n";
}

std::string files_beside() {
  return roff::section("FILES BESIDE A SCENARIO") +
         roff::paragraph(
             "Text of cells that commas or semicolons part, with a line of names at its head. A "
             "cell carries its unit, or the name of its column ends in one: _percent, _l, _ml, "
             "_gal, _l_per_h, _s, _min. Times may be m:ss or h:mm:ss. Decimals have a point.") +
         roff::entry(roff::bold(R"(measured("file", "column"))"), "any column of values") +
         roff::entry(roff::bold("update --readings"), "reading_percent, and burned_l or time_s") +
         roff::entry(roff::bold("learn --pump-tests"), "content_percent; others to group by") +
         roff::entry(roff::bold("learn --changeover"),
                     "time_s, reading_percent, and where logged fuel_rate_l_per_h");
}

std::string example() {
  std::vector<std::string> lines{""};
  for (const char c : answer_new(false).text) {
    if (c == '\n') {
      lines.emplace_back();
    } else {
      lines.back() += c;
    }
  }
  lines.pop_back();
  return roff::section("EXAMPLE") + roff::example(lines);
}

}  // namespace

std::string scenario_manual(const std::string& date) {
  return roff::finished(
      roff::title("blendrisk-scenario", 5, date) + roff::section("NAME") +
      R"(blendrisk\-scenario \- scenario file of blendrisk: a car, its fuel and its limits)"
      "\n" +
      description() + quantities() + uncertain_values() + keys() + files_beside() + example() +
      roff::section("SEE ALSO") +
      R"(\fBblendrisk\fR(1))"
      "\n");
}

}  // namespace blendrisk::cli
