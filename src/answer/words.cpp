#include "answer/words.hpp"

#include <algorithm>
#include <cassert>
#include <utility>

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

const WordTable& english_table() {
  static const WordTable table = [] {
    WordTable all;
    for (const std::string_view text : k_words) add_words(text, all);
    return all;
  }();
  return table;
}

/// Of another language than English, while one is spoken.
thread_local const WordTable* spoken = nullptr;

/// nullptr where an id has no words.
const std::string_view* find_words(std::string_view id) {
  for (const WordTable* table : {spoken, &english_table()}) {
    if (table == nullptr) continue;
    const auto found = table->find(id);
    if (found != table->end()) return &found->second;
  }
  return nullptr;
}

/// "label.fill-n.content" of "label." and "fill-2.content"; empty where the key is of no later
/// fill.
std::string id_of_fill(const std::string& head, std::string_view key) {
  const std::size_t dot = key.find('.');
  if (!key.starts_with("fill-") || dot == std::string_view::npos) return {};
  return head + "fill-n" + std::string(key.substr(dot));
}

}  // namespace

void add_words(std::string_view text, WordTable& table) {
  while (!text.empty()) {
    const std::string_view line = text.substr(0, text.find('\n'));
    text.remove_prefix(std::min(line.size() + 1, text.size()));
    const std::size_t at = line.find(" = ");
    if (at != std::string_view::npos) table.emplace(line.substr(0, at), line.substr(at + 3));
  }
}

Speaking::Speaking(std::string text) : text_(std::move(text)), before_(spoken) {
  add_words(text_, table_);
  spoken = table_.empty() ? nullptr : &table_;
}

Speaking::~Speaking() {
  spoken = before_;
}

std::string_view words(std::string_view id) {
  const std::string_view* found = find_words(id);
  assert(found != nullptr);
  return found == nullptr ? id : *found;
}

std::string_view english(std::string_view id) {
  const auto found = english_table().find(id);
  assert(found != english_table().end());
  return found == english_table().end() ? id : found->second;
}

bool has_words(std::string_view id) {
  return find_words(id) != nullptr;
}

std::vector<std::string_view> all_ids() {
  std::vector<std::string_view> ids;
  for (const auto& [id, text] : english_table()) ids.push_back(id);
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
  const std::string of_fill = id_of_fill("label.", key);
  if (has_words(of_fill)) {
    const std::string number(key.substr(5, key.find('.') - 5));
    return filled(words("label.fill-n"), {number, std::string(words(of_fill))});
  }
  if (const scenario::Key* known = scenario::find_key(key)) return std::string(known->label);
  return scenario::is_correlation(key) ? "label.correlation"_w : std::string(key);
}

std::string absent(const scenario::Key& key) {
  if (!key.default_text.empty()) return key.default_text;
  const std::string name = key.full_name();
  for (const std::string& id : {"absent." + name, id_of_fill("absent.", name)}) {
    if (has_words(id)) return std::string(words(id));
  }
  return key.default_note;
}

}  // namespace blendrisk::answer
