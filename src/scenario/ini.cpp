#include "scenario/ini.hpp"

#include <algorithm>
#include <boost/program_options/detail/config_file.hpp>
#include <boost/program_options/errors.hpp>
#include <set>
#include <utility>

#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"
#include "scenario/quoting.hpp"
#include "scenario/read.hpp"
#include "units/letter_case.hpp"
#include "units/trimmed.hpp"

namespace blendrisk::scenario {
namespace {

namespace po = boost::program_options;

[[noreturn]] void refuse(const std::string& name, std::size_t line, const std::string& wrong) {
  throw InputError(name + ":" + std::to_string(line) + ": " + wrong);
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

/// What stands between the brackets of a line that is a section's; empty for any other.
std::string_view section_of(std::string_view line) {
  if (line.size() < 2 || line.front() != '[' || line.back() != ']') return {};
  return trimmed(line.substr(1, line.size() - 2));
}

/// Boost's INI parser fed from text in memory, so that lines can be counted and checked on the way.
class Lines : public po::detail::common_config_file_iterator {
 public:
  Lines(std::string name, std::string_view text)
      : common_config_file_iterator(std::set<std::string>(), true),
        name_(std::move(name)),
        rest_(text) {}

  std::size_t line() const { return line_; }

 private:
  bool getline(std::string& next) override {
    if (rest_.empty()) return false;
    const std::size_t end = rest_.find('\n');
    std::string_view text = rest_.substr(0, end);
    rest_ = end == std::string_view::npos ? std::string_view() : rest_.substr(end + 1);
    ++line_;
    if (!text.empty() && text.back() == '\r') text.remove_suffix(1);
    check_readable(text);
    text = trimmed(text.substr(0, comment_start(text)));
    check_section(text);
    const std::string_view section = section_of(text);
    next = section.empty() ? std::string(text) : "[" + std::string(section) + "]";
    return true;
  }

  void check_readable(std::string_view text) const {
    const std::string why = unreadable_because(text);
    if (why.empty()) return;
    refuse(name_, line_,
           "the line " + in_quotes(text) + " " + why + "; lines of UTF-8 text of at most " +
               std::to_string(k_longest_line) + " characters are accepted");
  }

  void check_section(std::string_view text) const {
    if (text.size() < 2 || text.front() != '[' || text.back() != ']') return;
    const std::string section(section_of(text));
    const std::string name = units::in_lower_case(section);
    const auto known = section_names();
    if (name == k_correlation_section) return;
    if (std::find(known.begin(), known.end(), name) != known.end()) return;
    std::string list;
    for (const std::string& each : known) {
      if (!each.starts_with("fill-")) list += each + ", ";
    }
    refuse(name_, line_,
           "unknown section " + in_quotes("[" + section + "]") + nearest_note(section, known) +
               "; accepted are " + list + k_correlation_section + " and fill-2 to fill-" +
               std::to_string(k_last_fill));
  }

  std::string name_;
  std::string_view rest_;
  std::size_t line_ = 0;
};

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
  const std::string place = name + ":" + std::to_string(line) + ": ";
  std::string key = units::in_lower_case(written);
  if (is_correlation(key)) {
    std::string wrong;
    const auto pair = correlation_key(std::string_view(key).substr(key.find('.') + 1), wrong);
    if (!pair) throw InputError(place + "correlation: " + wrong + "; " + k_correlation_accepted);
    key = *pair;
  } else if (find_key(key) == nullptr) {
    throw InputError(place + escaped(written.substr(0, 80)) + ": unknown key" + key_note(key) +
                     "; `blendrisk help keys` lists what is accepted");
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
    const std::string why = unreadable_because(first);
    if (!why.empty())
      refuse(name, 1, "the line " + in_quotes(first) + " " + why + "; scenario text is accepted");
    throw InputError(name + ": is larger than 1 MB; a scenario file is accepted");
  }
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    throw InputError(name + ": is empty; a scenario is accepted, `blendrisk new` prints one");
  }
}

}  // namespace

std::vector<Entry> parse_ini(const std::string& name, std::string_view text) {
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  check_size(name, text);
  std::vector<Entry> entries;
  Lines lines(name, text);
  const po::detail::common_config_file_iterator end;
  try {
    for (++lines; lines != end; ++lines) {
      const std::string key = checked_key(name, lines.line(), lines->string_key, entries);
      std::string place = name;
      place.append(":").append(std::to_string(lines.line())).append(": ").append(key).append(": ");
      entries.push_back({key, lines->value.front(), std::move(place), lines.line()});
    }
  } catch (const po::invalid_config_file_syntax& error) {
    refuse(name, lines.line(),
           in_quotes(error.tokens()) +
               " is no line of a scenario; [section], key = value, # comment "
               "and ; comment are accepted");
  }
  return entries;
}

std::map<std::string, std::string> comments_by_key(std::string_view text) {
  std::map<std::string, std::string> comments;
  std::string section;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t mark = comment_start(line);
    const std::string_view before = units::trimmed(line.substr(0, mark), units::k_line_white);
    const std::size_t equals = before.find('=');
    if (const std::string_view begun = section_of(before); !begun.empty()) {
      section = units::in_lower_case(begun) + ".";
    } else if (equals != std::string_view::npos && mark < line.size()) {
      comments[section + units::in_lower_case(
                             units::trimmed(before.substr(0, equals), units::k_line_white))] =
          std::string(units::trimmed(line.substr(mark + 1), units::k_line_white));
    }
  }
  return comments;
}

}  // namespace blendrisk::scenario
