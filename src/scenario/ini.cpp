#include "scenario/ini.hpp"

#include <algorithm>
#include <utility>

#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"
#include "text/letter_case.hpp"
#include "text/lines.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::scenario {
namespace {

using text::Error;
using text::trimmed;

/// Where a comment begins: at #, or at ; where a line or a gap leads to it, as it may stand in a
/// text. In quotes, ; is part of a name.
std::size_t comment_start(std::string_view line) {
  bool inside = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '"') inside = !inside;
    if (line[i] == '#') return i;
    if (line[i] == ';' && !inside && (i == 0 || line[i - 1] == ' ' || line[i - 1] == '\t'))
      return i;
  }
  return line.size();
}

void check_readable(std::string_view line, const std::string& accepted) {
  const std::string why = text::unreadable_because(line);
  if (!why.empty()) throw Error("the line " + text::in_quotes(line) + " " + why, accepted);
}

void check_section(const std::string& section) {
  const std::string lower = text::in_lower_case(section);
  const auto known = section_names();
  if (lower == k_correlation_section) return;
  if (std::find(known.begin(), known.end(), lower) != known.end()) return;
  std::string list;
  for (const std::string& each : known) {
    if (!each.starts_with("fill-")) list += each + ", ";
  }
  throw Error(
      "unknown section " + text::in_quotes("[" + section + "]") + nearest_note(section, known),
      "accepted are " + list + k_correlation_section + " and fill-2 to fill-" +
          std::to_string(k_last_fill));
}

/// The known key that ends like an unknown one, which a missing or wrong section gives; else the
/// nearest by spelling.
std::string key_note(const std::string& key) {
  const std::string tail = "." + key.substr(key.find_last_of('.') + 1);
  for (const std::string& known : key_names()) {
    if (key.find('.') == std::string::npos && known.ends_with(tail)) {
      return " (the nearest known name is " + known + ")";
    }
  }
  return nearest_note(key, key_names());
}

/// The key as it goes on, in lower case: of a correlation, the one that both ways to write it
/// share.
std::string checked_key(const std::string& written) {
  const std::string key = text::in_lower_case(written);
  if (is_correlation(key)) {
    return text::at({.key = k_correlation_section}, [&] {
      return correlation_key(std::string_view(key).substr(key.find('.') + 1));
    });
  }
  if (find_key(key) != nullptr || key == k_include) return key;
  if (key.ends_with(std::string(".") + k_include)) {
    throw Error("stands in [" + key.substr(0, key.find('.')) + "]",
                "above the first section is accepted", {.key = k_include});
  }
  throw Error("unknown key" + key_note(key), "`blendrisk help keys` lists what is accepted",
              {.key = written.substr(0, 80)});
}

void check_size(std::string_view text) {
  if (text.size() > k_largest_text) {
    // A single endless line deserves its own words.
    text::at({.line = 1},
             [&] { check_readable(text.substr(0, text.find('\n')), "scenario text is accepted"); });
    throw Error("is larger than 1 MB", "a scenario file is accepted");
  }
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    throw Error("is empty", "a scenario is accepted, `blendrisk new` prints one");
  }
}

/// Reads a file's lines one by one.
class IniReader {
 public:
  IniReader(const std::string& name, const std::string& included_by)
      : name_(name), included_by_(included_by) {}

  void take(std::size_t line, std::string_view whole) {
    check_readable(whole, "lines of UTF-8 text of at most " + std::to_string(text::k_longest_line) +
                              " characters are accepted");
    const std::size_t mark = comment_start(whole);
    const std::string_view said = trimmed(whole.substr(0, mark));
    if (said.empty()) return;
    if (said.size() > 1 && said.front() == '[' && said.back() == ']') {
      const std::string section(trimmed(said.substr(1, said.size() - 2)));
      check_section(section);
      prefix_ = section + ".";
      return;
    }
    const std::size_t equals = said.find('=');
    if (equals == std::string_view::npos) {
      throw Error(text::in_quotes(said) + " is no line of a scenario",
                  "[section], key = value, # comment and ; comment are accepted");
    }
    std::string key = checked_key(prefix_ + std::string(trimmed(said.substr(0, equals))));
    for (const Entry& entry : entries) {
      if (entry.key != key || key == k_include) continue;
      throw Error("is given twice, on lines " + std::to_string(entry.place.line) + " and " +
                      std::to_string(line),
                  "once is accepted", {.key = key});
    }
    text::Place place{name_, line, key, included_by_};
    entries.push_back({std::move(key), std::string(trimmed(said.substr(equals + 1))),
                       std::move(place),
                       std::string(trimmed(whole.substr(std::min(mark + 1, whole.size()))))});
  }

  std::vector<Entry> entries;

 private:
  const std::string& name_;
  const std::string& included_by_;
  std::string prefix_;
};

}  // namespace

std::vector<Entry> parse_ini(const std::string& name, std::string_view text,
                             const std::string& included_by) {
  text = text::without_mark(text);
  text::at({.source = name, .included_by = included_by}, [&] { check_size(text); });
  IniReader reader(name, included_by);
  for (std::size_t line = 1; !text.empty(); ++line) {
    const std::string_view whole = text::next_line(text);
    text::at({.source = name, .line = line, .included_by = included_by},
             [&] { reader.take(line, whole); });
  }
  return std::move(reader.entries);
}

}  // namespace blendrisk::scenario
