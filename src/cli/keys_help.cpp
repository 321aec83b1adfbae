#include <array>

#include "cli/help.hpp"
#include "cli/starter.hpp"
#include "distributions/distribution_text.hpp"
#include "scenario/keys.hpp"
#include "units/quantity.hpp"
#include "version.hpp"

namespace blendrisk::cli {
namespace {

/// The section whose keys are pairs of keys.
constexpr const char* k_pairs_where = "in the file only";
constexpr const char* k_pairs_meaning =
    "rank correlation (Spearman's) of two uncertain inputs; default: 0";
constexpr const char* k_pairs_example = "fuel.content, fill-2.content = 0.6";
constexpr const char* k_pairs_range = "range: above -1 and below 1";

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

/// "required", "optional" or "default: 0 L".
std::string standing_text(const scenario::Key& key) {
  if (!key.default_text.empty()) return "default: " + key.default_text;
  if (key.default_note == "none") return "optional";
  return (key.default_note.starts_with("the ") ? "default: " : "") + key.default_note;
}

/// Calls for each section and each key, of the later fills only for the first.
template <class OnSection, class OnKey>
void walk_keys(const OnSection& on_section, const OnKey& on_key) {
  std::string section = "-";
  for (const scenario::Key& key : scenario::keys()) {
    if (key.section.starts_with("fill-") && key.section != "fill-2") continue;
    if (key.section != section) on_section(section = key.section);
    on_key(key);
  }
}

constexpr const char* k_description = R"(

# NAME

blendrisk-scenario - scenario file of blendrisk: a car, its fuel and its limits

# DESCRIPTION

A scenario tells *blendrisk* what is known of a car, of the old fuel in its tank, of the pump and of
the limits of the engine's calibration. It is a text of *[section]* lines and *key = value* lines; #
starts a comment, and so does ; at the start of a line or after a space. Unknown sections and keys
are errors, and so are a key given twice, a quantity with no unit or a wrong one, and a value
outside its range.

Every key is also an option of the command line, --section.key VALUE, which wins over the file; one
that excludes another (heel.reading and heel.content) takes its place. *blendrisk new* prints a
scenario to start from.

# QUANTITIES

A number and a unit; the space between is free, and so is the case: 6 L, 6l and 6 litres are one.
Decimals have a point. The units in parentheses:
)";

constexpr const char* k_uncertain = R"(
A gal is the US liquid gallon, 3.785411784 L; an imp-gal is 4.54609 L; mpg is miles per US gallon. A
content is the volume fraction of ethanol. A currency may stand in a price (0.98 EUR/L), and what a
gauge shows may be a share of the tank (1/8 tank, 12 % of tank).

# UNCERTAIN VALUES

An exact quantity, or a law. Every number carries its unit; a, b and dof have none.
)";

constexpr const char* k_truncated = R"(
After a law or a quantity, *in [low, high]* cuts it off there. Draws outside the physical range are
held at its bound, and the answer says so where that happens in more than 0.1 % of cases. The range
given with a key applies to exact values and to the mean of a law.

# KEYS
)";

constexpr const char* k_files = R"(
# FILES BESIDE A SCENARIO

Text of cells that commas or semicolons part, with a line of names at its head. A cell carries its
unit, or the name of its column ends in one: \_percent, \_l, \_ml, \_gal, \_l_per_h, \_s, \_min.
Times may be m:ss or h:mm:ss. Decimals have a point.

*measured("file", "column")*
	any column of values

*update --readings*
	reading_percent, and burned_l or time_s

*learn --pump-tests*
	content_percent; others to group by

*learn --changeover*
	time_s, reading_percent, and where logged fuel_rate_l_per_h

# EXAMPLE

```
)";

/// @param head  with its marks
std::string scdoc_entry(const std::string& head, const std::vector<std::string>& lines) {
  std::string text = "\n" + head + "\n";
  for (const std::string& line : lines) {
    if (line.empty()) continue;
    text += "\t" + line + (&line == &lines.back() ? "\n" : "++\n");
  }
  return text;
}

}  // namespace

std::string keys_text() {
  const std::string margin(17, ' ');
  std::string text =
      "Keys of a scenario file, also options of the command line (--section.key VALUE)\n";
  walk_keys(
      [&](const std::string& section) {
        text += "\n";
        if (section.empty()) return;
        text += "[" + section + "]";
        if (section == "fill-2") {
          text += "  and so on to [fill-" + std::to_string(scenario::k_last_fill) + "]";
        }
        text += "\n";
      },
      [&](const scenario::Key& key) {
        std::string head = "  " + key.name;
        head.resize(std::max(head.size() + 1, margin.size()), ' ');
        text += head + scenario::kind_text(key) + "; " + standing_text(key) + "\n" + margin +
                key.meaning + "\n";
        if (*key.range.text != '\0') text += margin + "range: " + key.range.text + "\n";
      });
  return text + "\n[correlation]  " + k_pairs_where + "\n  KEY, KEY       " + k_pairs_meaning +
         "\n" + margin + k_pairs_example + "\n" + margin + k_pairs_range + "\n" + k_values +
         laws_text();
}

std::string scenario_reference() {
  using units::Dimension;
  std::string text =
      std::string("blendrisk-scenario(5) \"blendrisk ") + k_version + "\"" + k_description;
  for (const Dimension dimension :
       {Dimension::volume, Dimension::content, Dimension::fraction, Dimension::rate,
        Dimension::time, Dimension::distance, Dimension::economy, Dimension::price}) {
    text += scdoc_entry("*" + std::string(units::name(dimension)) + "*",
                        {std::string(units::accepted_text(dimension))});
  }
  text += k_uncertain;
  for (const distributions::LawForm& form : distributions::law_forms()) {
    text += scdoc_entry("*" + std::string(form.text) + "*", {std::string(form.meaning)});
  }
  text += k_truncated;
  walk_keys(
      [&](const std::string& section) {
        if (!section.empty()) text += "\n## [" + section + "]\n";
        if (section == "fill-2") {
          text += "\nAnd so on to [fill-" + std::to_string(scenario::k_last_fill) +
                  "], without a gap.\n";
        }
      },
      [&](const scenario::Key& key) {
        std::vector<std::string> lines{key.meaning, standing_text(key)};
        if (*key.range.text != '\0') lines.push_back(std::string("range: ") + key.range.text);
        text += scdoc_entry("*" + key.name + "* = " + scenario::kind_text(key), lines);
      });
  return text + "\n## [correlation]\n\nStands " + k_pairs_where + ".\n" +
         scdoc_entry("*KEY, KEY* = number",
                     {k_pairs_meaning, k_pairs_range, std::string("as in ") + k_pairs_example}) +
         k_files + starter_scenario(false) + "```\n\n# SEE ALSO\n\n*blendrisk*(1)\n";
}

}  // namespace blendrisk::cli
