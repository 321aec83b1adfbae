#include "scenario/ini.hpp"

#include <algorithm>
#include <utility>

#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"
#include "scenario/lines.hpp"
#include "scenario/read.hpp"
#include "text/letter_case.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::scenario {
namespace {

using text::trimmed;

[[noreturn]] void fail_in(const std::string& name, std::size_t line, const std::string& wrong) {
  throw InputError(at_line(name, line) + wrong);
}

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

void check_readable(const std::string& name, std::size_t line, std::string_view text) {
  const std::string why = text::unreadable_because(text);
  if (why.empty()) return;
  fail_in(name, line,
          "the line " + text::in_quotes(text) + " " + why + "; lines of UTF-8 text of at most " +
              std::to_string(text::k_longest_line) + " characters are accepted");
}

void check_section(const std::string& name, std::size_t line, const std::string& section) {
  const std::string lower = text::in_lower_case(section);
  const auto known = section_names();
  if (lower == k_correlation_section) return;
  if (std::find(known.begin(), known.end(), lower) != known.end()) return;
  std::string list;
  for (const std::string& each : known) {
    if (!each.starts_with("fill-")) list += each + ", ";
  }
  fail_in(name, line,
          "unknown section " + text::in_quotes("[" + section + "]") + nearest_note(section, known) +
              "; accepted are " + list + k_correlation_section + " and fill-2 to fill-" +
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
std::string checked_key(const std::string& name, std::size_t line, const std::string& written,
                        const std::vector<Entry>& before) {
  const std::string place = at_line(name, line);
  std::string key = text::in_lower_case(written);
  if (is_correlation(key)) {
    std::string wrong;
    const auto pair = correlation_key(std::string_view(key).substr(key.find('.') + 1), wrong);
    if (!pair) throw InputError(place + "correlation: " + wrong + "; " + k_correlation_accepted);
    key = *pair;
  } else if (find_key(key) == nullptr) {
    throw InputError(place + text::escaped(written.substr(0, 80)) + ": unknown key" +
                     key_note(key) + "; `blendrisk help keys` lists what is accepted");
  }
  for (const Entry& entry : before) {
    if (entry.key == key) {
      throw InputError(place + key + ": is given twice, on lines " + std::to_string(entry.line) +
                       " and " + std::to_string(line) + "; once is accepted");
    }
  }
  return key;
}

void check_size(const std::string& name, std::string_view text) {
  if (text.size() > k_largest_text) {
    // A single endless line deserves its own words.
    const std::string_view first = text.substr(0, text.find('\n'));
    const std::string why = text::unreadable_because(first);
    if (!why.empty())
      fail_in(name, 1,
              "the line " + text::in_quotes(first) + " " + why + "; scenario text is accepted");
    throw InputError(name + ": is larger than 1 MB; a scenario file is accepted");
  }
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    throw InputError(name + ": is empty; a scenario is accepted, `blendrisk new` prints one");
  }
}

}  // namespace

std::vector<Entry> parse_ini(const std::string& name, std::string_view text) {
  text = without_mark(text);
  check_size(name, text);
  std::vector<Entry> entries;
  std::string prefix;
  for (std::size_t line = 1; !text.empty(); ++line) {
    const std::string_view whole = next_line(text);
    check_readable(name, line, whole);
    const std::size_t mark = comment_start(whole);
    const std::string_view said = trimmed(whole.substr(0, mark));
    if (said.empty()) continue;
    if (said.size() > 1 && said.front() == '[' && said.back() == ']') {
      prefix = trimmed(said.substr(1, said.size() - 2));
      check_section(name, line, prefix);
      prefix += ".";
      continue;
    }
    const std::size_t equals = said.find('=');
    if (equals == std::string_view::npos) {
      fail_in(name, line,
              text::in_quotes(said) +
                  " is no line of a scenario; [section], key = value, # comment "
                  "and ; comment are accepted");
    }
    const std::string written = prefix + std::string(trimmed(said.substr(0, equals)));
    std::string key = checked_key(name, line, written, entries);
    std::string place = at_line(name, line) + key + ": ";
    entries.push_back({std::move(key), std::string(trimmed(said.substr(equals + 1))),
                       std::move(place), line,
                       std::string(trimmed(whole.substr(std::min(mark + 1, whole.size()))))});
  }
  return entries;
}

}  // namespace blendrisk::scenario
