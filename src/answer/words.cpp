#include "answer/words.hpp"

#include <algorithm>
#include <cassert>
#include <unordered_map>

#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::answer {
namespace {

/// `id = words`, one a line: of answers, of the line, of the page with its pictures, of logs, of
/// a policy, of forecasts verified. Each a text of its own, as compilers bear so much in one.
constexpr std::string_view k_words[] = {
#include "answer/english.words"
    ,
#include "answer/english_line.words"
    ,
#include "answer/english_page.words"
#ifndef BLENDRISK_WORDS_OF_PAGE  // the module of the page has no command that says these
    ,
#include "answer/english_logs.words"
    ,
#include "answer/english_policy.words"
    ,
#include "answer/english_verify.words"
#endif
};

using Table = std::unordered_map<std::string_view, std::string_view>;

const Table& table() {
  static const Table table = [] {
    Table all;
    for (std::string_view rest : k_words) {
      while (!rest.empty()) {
        const std::string_view line = rest.substr(0, rest.find('\n'));
        rest.remove_prefix(std::min(line.size() + 1, rest.size()));
        const std::size_t at = line.find(" = ");
        if (at != std::string_view::npos) all.emplace(line.substr(0, at), line.substr(at + 3));
      }
    }
    return all;
  }();
  return table;
}

}  // namespace

std::string_view words(std::string_view id) {
  const auto found = table().find(id);
  assert(found != table().end());
  return found == table().end() ? id : found->second;
}

bool has_words(std::string_view id) {
  return table().contains(id);
}

std::vector<std::string_view> all_ids() {
  std::vector<std::string_view> ids;
  for (const auto& [id, text] : table()) ids.push_back(id);
  return ids;
}

std::string filled(std::string_view words, const std::vector<std::string>& values) {
  std::string text;
  for (std::size_t at = 0; at < words.size(); ++at) {
    const bool place = words[at] == '{' && at + 2 < words.size() && words[at + 1] >= '1' &&
                       words[at + 1] <= '9' && words[at + 2] == '}';
    if (!place) {
      text += words[at];
      continue;
    }
    const auto which = static_cast<std::size_t>(words[at + 1] - '1');
    if (which < values.size()) text += values[which];
    at += 2;
  }
  return text;
}

std::vector<std::string> cautions() {
  std::vector<std::string> all;
  for (char number = '1'; has_words(std::string("caution.") + number); ++number) {
    all.emplace_back(words(std::string("caution.") + number));
  }
  return all;
}

std::string label(std::string_view key) {
  const std::string id = "label." + std::string(key);
  if (has_words(id)) return std::string(words(id));
  if (const scenario::Key* known = scenario::find_key(key)) return std::string(known->label);
  return scenario::is_correlation(key) ? "label.correlation"_w : std::string(key);
}

}  // namespace blendrisk::answer
