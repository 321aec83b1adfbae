#include <array>

#include "cli/help.hpp"
#include "distributions/form.hpp"
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
Above the first section, include = FILE takes in the lines of another file; keys that are given again
win over them.
Quantities carry a unit: volume L mL gal imp-gal; content %; fraction % or 1 in 100; rate L/h
mL/min gal/h; time s min h; distance km mi; economy L/100km km/L mpg; price /L /gal, with or
without a currency. Units, keys and laws are read in any case, units also as words ("6 litres");
decimals have a point.
Uncertain values are an exact quantity or a law, which "in [low, high]" after it truncates:
)help";

/// The laws, broken into lines between one and the next.
std::string laws_text() {
  constexpr std::size_t k_width = 96;
  std::string text, line;
  for (const distributions::Form* form : distributions::forms()) {
    const std::string law = std::string(form->text) + ", ";
    if (line.size() + law.size() > k_width) {
      text += "  " + line.substr(0, line.size() - 1) + "\n";
      line.clear();
    }
    line += law;
  }
  return text + "  " + line.substr(0, line.size() - 2) + "\n";
}

/// "required", "optional" or "default: 0 L".
std::string standing_text(const scenario::Key& key) {
  if (!key.default_text.empty()) return "default: " + key.default_text;
  if (key.default_note == "none") return "optional";
  return (key.default_note.starts_with("the ") ? "default: " : "") + key.default_note;
}

std::string last_fill() {
  return "[fill-" + std::to_string(scenario::k_last_fill) + "]";
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

/// @param head  with its marks
std::string scdoc_entry(const std::string& head, const std::vector<std::string>& lines) {
  std::string text = head + "\n";
  for (const std::string& line : lines) {
    text += "\t" + line + (&line == &lines.back() ? "\n\n" : "++\n");
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
        if (section == "fill-2") text += "  and so on to " + last_fill();
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

std::string scenario_parts() {
  using units::Dimension;
  std::string text =
      std::string("@title\nblendrisk-scenario(5) \"blendrisk ") + k_version + "\"\n@quantities\n";
  for (const Dimension dimension :
       {Dimension::volume, Dimension::content, Dimension::fraction, Dimension::rate,
        Dimension::time, Dimension::distance, Dimension::economy, Dimension::price}) {
    text += scdoc_entry("*" + std::string(units::name(dimension)) + "*",
                        {units::accepted_text(dimension)});
  }
  text += "@laws\n";
  for (const distributions::Form* form : distributions::forms()) {
    text += scdoc_entry("*" + std::string(form->text) + "*", {std::string(form->meaning)});
  }
  text += "@keys\n";
  walk_keys(
      [&](const std::string& section) {
        if (!section.empty()) text += "## [" + section + "]\n\n";
        if (section == "fill-2") text += "And so on to " + last_fill() + ", without a gap.\n\n";
      },
      [&](const scenario::Key& key) {
        std::vector<std::string> lines{key.meaning, standing_text(key)};
        if (*key.range.text != '\0') lines.push_back(std::string("range: ") + key.range.text);
        text += scdoc_entry("*" + key.name + "* = " + scenario::kind_text(key), lines);
      });
  return text + "## [correlation]\n\nStands " + k_pairs_where + ".\n\n" +
         scdoc_entry("*KEY, KEY* = number",
                     {k_pairs_meaning, k_pairs_range, std::string("as in ") + k_pairs_example});
}

}  // namespace blendrisk::cli
