#include "answer/languages.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <thread>

#include "answer/plain_text.hpp"
#include "answer/words.hpp"
#include "scenario/keys.hpp"
#include "tests/source_dir.hpp"

// Every language has all words that a page says, with the same places and the same markup.
namespace blendrisk::answer::languages_test {
namespace {

using blendrisk::testing::source_dir;

/// Words by id of a file of src/answer; an id that stands there twice fails.
std::map<std::string, std::string> words_of_file(const std::string& name) {
  std::ifstream in(source_dir() + "/src/answer/" + name);
  std::map<std::string, std::string> all;
  for (std::string line; std::getline(in, line);) {
    const std::size_t at = line.find(" = ");
    if (at == std::string::npos) continue;
    EXPECT_TRUE(all.emplace(line.substr(0, at), line.substr(at + 3)).second)
        << name << " has twice " << line.substr(0, at);
  }
  EXPECT_FALSE(all.empty()) << name;
  return all;
}

/// Lines that refuse input are English on every page.
bool is_refusal(const std::string& id) {
  return id.starts_with("impossible.") || id.starts_with("no_odds.");
}

/// What a page says, in English.
std::map<std::string, std::string> english_of_pages() {
  std::map<std::string, std::string> all;
  for (const char* name : {"english.words", "english_line.words", "english_page.words"}) {
    for (const auto& [id, text] : words_of_file(name)) {
      if (is_refusal(id)) continue;
      EXPECT_TRUE(all.emplace(id, text).second) << id;
    }
  }
  return all;
}

std::map<std::string, std::string> words_by_id(const Language& language) {
  WordTable table;
  std::size_t ids = 0;
  for (const std::string_view text : language.texts) {
    WordTable one;
    add_words(text, one);
    ids += one.size();
    add_words(text, table);
  }
  EXPECT_EQ(ids, table.size()) << language.name << " has an id in two files";
  return {table.begin(), table.end()};
}

/// All that the expression matches, sorted.
std::multiset<std::string> found(const std::string& text, const char* expression) {
  const std::regex pattern(expression);
  return {std::sregex_token_iterator(text.begin(), text.end(), pattern), {}};
}

std::set<std::string> places(const std::string& text) {
  const std::multiset<std::string> all = found(text, "\\{[1-9]\\}");
  return {all.begin(), all.end()};
}

bool is_sentence(const std::string& text) {
  return found(text, "[A-Za-z]{2,}").size() > 2;
}

class EveryLanguage : public ::testing::TestWithParam<Language> {};

TEST_P(EveryLanguage, HasWordsForAllThatAPageSays) {
  const auto words = words_by_id(GetParam());
  for (const auto& [id, english] : english_of_pages()) {
    const auto other = words.find(id);
    if (other == words.end()) {
      ADD_FAILURE() << GetParam().name << " has no words for " << id;
      continue;
    }
    EXPECT_EQ(places(other->second), places(english)) << id;
    EXPECT_EQ(found(other->second, "<[^>]*>"), found(english, "<[^>]*>")) << id;
    EXPECT_EQ(found(other->second, "`[^`]*`"), found(english, "`[^`]*`")) << id;
    EXPECT_EQ(std::isspace(static_cast<unsigned char>(other->second.back())), 0) << id;
    if (is_sentence(english)) {
      EXPECT_NE(other->second, english) << id;
    }
  }
}

TEST_P(EveryLanguage, HasNoWordsThatNobodySays) {
  const auto english = english_of_pages();
  for (const auto& [id, text] : words_by_id(GetParam())) {
    if (english.contains(id) || id == "label.fill-n") continue;
    const std::size_t dot = id.find('.');
    std::string key = id.substr(dot + 1);
    if (key.starts_with("fill-n.")) key.replace(0, 7, "fill-2.");
    const scenario::Key* known = scenario::find_key(key);
    ASSERT_NE(known, nullptr) << id;
    EXPECT_TRUE(id.starts_with("label.") ||
                (id.starts_with("absent.") && known->default_text.empty()))
        << id;
  }
}

TEST_P(EveryLanguage, NamesEveryKeyInWordsThatFit) {
  const Speaking speaking(words_of(GetParam()));
  const auto words = words_by_id(GetParam());
  std::set<std::string> labels;
  for (const scenario::Key& key : scenario::keys()) {
    const std::string name = key.full_name();
    const std::string said = label(name);
    EXPECT_NE(said, name);
    EXPECT_NE(said, key.label) << name;
    EXPECT_LE(width(said), k_label_columns) << said;
    EXPECT_TRUE(labels.insert(said).second) << said << " names two keys";
    if (key.section.starts_with("fill-")) {
      EXPECT_NE(said.find(key.section.substr(5)), std::string::npos) << said;
    }
    if (key.default_text.empty()) {
      EXPECT_NE(absent(key), key.default_note) << name;
    } else {
      EXPECT_EQ(absent(key), key.default_text) << name;
    }
  }
}

TEST_P(EveryLanguage, KnowsItself) {
  const Speaking speaking(words_of(GetParam()));
  EXPECT_EQ("language.name"_w, GetParam().name);
  EXPECT_EQ("language.tag"_w, GetParam().tag);
  EXPECT_EQ(english("language.tag"), "en");
}

INSTANTIATE_TEST_SUITE_P(ButEnglish, EveryLanguage,
                         ::testing::ValuesIn(languages().begin() + 1, languages().end()),
                         [](const auto& one) { return std::string(one.param.name); });

TEST(Languages, EnglishIsFirstAndHasItsWordsInAnyCase) {
  const Language& first = languages().front();
  EXPECT_EQ(first.name, "english");
  EXPECT_EQ(first.tag, "en");
  EXPECT_EQ(words_of(first), "");
  EXPECT_GE(languages().size(), 2U);
}

TEST(Languages, NoEnglishIdStandsTwice) {
  std::set<std::string> ids;
  for (const char* name : {"english.words", "english_line.words", "english_page.words",
                           "english_logs.words", "english_policy.words", "english_verify.words"}) {
    for (const auto& [id, text] : words_of_file(name)) EXPECT_TRUE(ids.insert(id).second) << id;
  }
}

TEST(Speaking, EndsWithItsScopeAndStaysOnItsThread) {
  EXPECT_EQ("none"_w, "none");
  {
    const Speaking first("none = nichts\n");
    EXPECT_EQ("none"_w, "nichts");
    EXPECT_EQ("unknown"_w, "unknown") << "what it has not is English";
    EXPECT_EQ(english("none"), "none");
    {
      const Speaking second("none = rien\nlabel.fill-n = {2} ({1})\nlabel.fill-n.price = prix\n");
      EXPECT_EQ("none"_w, "rien");
      EXPECT_EQ(label("fill-3.price"), "prix (3)");
      EXPECT_EQ(label("fuel.price"), "price of the fuel");
    }
    EXPECT_EQ("none"_w, "nichts");
    std::string elsewhere;
    std::thread([&] { elsewhere = "none"_w; }).join();
    EXPECT_EQ(elsewhere, "none");
    const Speaking none("");
    EXPECT_EQ("none"_w, "none") << "no words are English";
  }
  EXPECT_EQ("none"_w, "none");
}

}  // namespace
}  // namespace blendrisk::answer::languages_test
