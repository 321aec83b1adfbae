#include "scenario/include.hpp"

#include <algorithm>
#include <iterator>
#include <string_view>
#include <utility>

#include "text/error.hpp"
#include "text/letter_case.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::scenario {
namespace {

using text::Error;

constexpr const char* k_file_accepted = "a scenario file is accepted";

/// "../pumps/" of "../pumps/north.ini".
std::string folder_of(const std::string& path) {
  return path.substr(0, path.find_last_of('/') + 1);
}

/// `path`, which stands in a text of that folder, as seen from where the folder is named.
std::string path_in(const std::string& folder, const std::string& path) {
  return path.starts_with('/') ? path : folder + path;
}

/// The value with the path of measured("PATH", ...) as seen from the scenario.
std::string with_path_in(const std::string& folder, const std::string& value) {
  constexpr std::string_view k_word = "measured";
  const std::size_t open = value.find('(');
  const std::size_t quote = value.find('"');
  if (folder.empty() || open == std::string::npos || quote == std::string::npos) return value;
  const std::string_view head = text::trimmed(std::string_view(value).substr(0, open));
  if (!text::same_word(head, k_word) || quote + 1 >= value.size() || value[quote + 1] == '/') {
    return value;
  }
  return value.substr(0, quote + 1) + folder + value.substr(quote + 1);
}

/// Quotes around a path belong to no name.
std::string path_of(const Entry& entry) {
  const std::string& value = entry.value;
  const bool quoted = value.size() > 1 && value.front() == '"' && value.back() == '"';
  std::string path = quoted ? value.substr(1, value.size() - 2) : value;
  if (path.empty()) throw Error("has no value", k_file_accepted, entry.place);
  return path;
}

std::string line_of(const text::Place& place) {
  return place.source + ":" + std::to_string(place.line);
}

/// Reads a text with all that it includes.
class Includer {
 public:
  explicit Includer(const ReadInclude& read) : read_(read) {}

  /// @param folder  of the text, as seen from the scenario
  std::vector<Entry> entries_of(const Source& source, const std::string& folder,
                                const std::string& included_by) {
    open_.push_back(source.name);
    std::vector<Entry> own = parse_ini(source.name, source.text, included_by);
    std::vector<Entry> under;
    for (const Entry& entry : own) {
      if (entry.key == k_include) under = laid_over(std::move(under), taken_in(entry, folder));
    }
    std::erase_if(own, [](const Entry& entry) { return entry.key == k_include; });
    for (Entry& entry : own) entry.value = with_path_in(folder, entry.value);
    open_.pop_back();
    return laid_over(std::move(under), own);
  }

 private:
  std::vector<Entry> taken_in(const Entry& entry, const std::string& folder) {
    if (!read_) {
      throw Error("is not accepted here, where there are no files",
                  "one text with all of its lines is accepted", entry.place);
    }
    const std::string path = path_in(folder, path_of(entry));
    const std::string by = line_of(entry.place);
    if (open_.size() > k_deepest_include) {
      throw Error(text::in_quotes(path) + " is the ninth include within another",
                  "eight are accepted", entry.place);
    }
    if (++count_ > k_most_includes) {
      throw Error(text::in_quotes(path) + " is one include too many", "64 in all are accepted",
                  entry.place);
    }
    const Source source = read(path, by);
    if (std::ranges::count(open_, source.name) > 0) {
      throw Error(text::in_quotes(source.name) + " includes itself" +
                      (open_.back() == source.name ? "" : " by way of this line"),
                  "another file is accepted", entry.place);
    }
    return entries_of(source, folder_of(path), by);
  }

  Source read(const std::string& path, const std::string& by) const {
    try {
      return read_(path);
    } catch (const Error& error) {
      const std::string& source = error.place.source.empty() ? path : error.place.source;
      throw Error(error.wrong, error.accepted.empty() ? k_file_accepted : error.accepted,
                  {.source = source, .included_by = by}, error.fault);
    }
  }

  const ReadInclude& read_;
  std::vector<std::string> open_;  // names of the texts that lead here
  std::size_t count_ = 0;
};

}  // namespace

std::vector<Entry> with_includes(const Source& source, const ReadInclude& read_include,
                                 const std::string& folder) {
  return Includer(read_include).entries_of(source, folder, "");
}

std::vector<std::string> displaced_by(const std::string& key, bool along_axis) {
  if (key == "heel.content") return {"heel.reading"};
  if (key == "heel.reading") return {"heel.content"};
  if (key == "heel.indicated" && along_axis) {
    return {"heel.distance-left", "heel.economy", "heel.reserve",
            "heel.now",           "heel.to-pump", "engine.economy"};
  }
  if (key == "heel.indicated") return {"heel.distance-left", "heel.economy", "heel.reserve"};
  if (key == "heel.distance-left") {
    return {"heel.indicated", "heel.now", "heel.to-pump", "engine.economy"};
  }
  if (key == "heel.now") {
    return {"heel.indicated", "heel.distance-left", "heel.economy", "heel.reserve"};
  }
  if (key.starts_with("fill-")) {
    const std::string section = key.substr(0, key.find('.'));
    if (key == section + ".indicated") return {section + ".burn-first"};
    if (key == section + ".burn-first") return {section + ".indicated"};
  }
  return {};
}

std::vector<Entry> laid_over(std::vector<Entry> lower, const std::vector<Entry>& upper) {
  std::vector<std::string> gone;
  for (const Entry& entry : upper) {
    gone.push_back(entry.key);
    for (std::string& key : displaced_by(entry.key)) gone.push_back(std::move(key));
  }
  std::erase_if(lower, [&](const Entry& entry) { return std::ranges::count(gone, entry.key) > 0; });
  lower.insert(lower.end(), upper.begin(), upper.end());
  return lower;
}

std::string ini_text(const std::vector<Entry>& entries) {
  std::vector<std::string> sections;
  const auto section_of = [](const Entry& entry) {
    const std::size_t dot = entry.key.find('.');
    return dot == std::string::npos ? std::string() : entry.key.substr(0, dot);
  };
  for (const Entry& entry : entries) {
    const std::string section = section_of(entry);
    if (std::ranges::count(sections, section) > 0) continue;
    // What is in no section stands above all.
    sections.insert(section.empty() ? sections.begin() : sections.end(), section);
  }
  std::string all;
  for (const std::string& section : sections) {
    if (!section.empty()) all += (all.empty() ? "[" : "\n[") + section + "]\n";
    for (const Entry& entry : entries) {
      if (section_of(entry) != section) continue;
      all += entry.key.substr(section.empty() ? 0 : section.size() + 1) + " = " + entry.value;
      all += entry.comment.empty() ? "\n" : "  # " + entry.comment + "\n";
    }
  }
  return all;
}

std::string value_of(const std::vector<Entry>& entries, const std::string& key) {
  const auto found = std::find_if(entries.begin(), entries.end(),
                                  [&](const Entry& entry) { return entry.key == key; });
  return found == entries.end() ? std::string() : found->value;
}

}  // namespace blendrisk::scenario
