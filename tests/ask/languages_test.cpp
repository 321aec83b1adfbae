#include "answer/languages.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>
#include <string>

#include "answer/words.hpp"
#include "ask/guide.hpp"
#include "ask/request.hpp"
#include "render/live.hpp"
#include "render/page.hpp"
#include "scenario/keys.hpp"
#include "tests/source_dir.hpp"

// Pages in another language have no English on them, but what the scenario's author wrote and the
// lines that refuse, which are marked as English.
namespace blendrisk::ask::languages_test {
namespace {

using blendrisk::testing::source_dir;
using Json = nlohmann::json;
using ::testing::HasSubstr;
using Texts = std::vector<std::string>;

std::string contents(const std::filesystem::path& path) {
  std::stringstream text;
  text << std::ifstream(path).rdbuf();
  return text.str();
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  if (what.empty()) return text;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at)) {
    text.replace(at, what.size(), by);
    at += by.size();
  }
  return text;
}

/// Without what stands from one text to another, both included.
std::string without(std::string text, const std::string& from, const std::string& to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at)) {
    const std::size_t end = text.find(to, at + from.size());
    text.erase(at, end == std::string::npos ? end : end + to.size() - at);
  }
  return text;
}

/// One space wherever there is white space.
std::string in_one_line(const std::string& text) {
  std::istringstream in(text);
  std::string all;
  for (std::string word; in >> word;) all += " " + word;
  return all + " ";
}

/// What stands in a tag to be read out, a line each.
std::string attributes_of(const std::string& tag) {
  std::string all;
  for (const char* name : {"alt=\"", "placeholder=\"", "aria-label=\"", "title=\""}) {
    const std::size_t at = tag.find(name);
    if (at == std::string::npos) continue;
    const std::size_t from = at + std::string_view(name).size();
    all += tag.substr(from, tag.find('"', from) - from) + "\n";
  }
  return all;
}

/// What a reader of markup sees or hears: texts, and what stands for pictures and empty fields.
std::string read_from(std::string markup) {
  for (const char* hidden : {"style", "script", "pre"}) {
    markup = without(markup, "<" + std::string(hidden), "</" + std::string(hidden) + ">");
  }
  // By hand: an expression recurses for each character of a long tag.
  std::string text;
  std::string attributes;
  bool skipped = false;
  for (std::size_t at = 0; at < markup.size();) {
    if (markup[at] != '<') {
      const std::size_t next = std::min(markup.find('<', at), markup.size());
      if (!skipped) text += markup.substr(at, next - at);
      at = next;
      continue;
    }
    const std::size_t end = std::min(markup.find('>', at), markup.size());
    const std::string tag = markup.substr(at, end - at);
    at = end + 1;
    skipped = tag.find("lang=\"en\"") != std::string::npos;
    if (!skipped) attributes += attributes_of(tag);
    const std::size_t name = tag.starts_with("</") ? 2 : 1;
    const bool inside =
        std::ranges::any_of(std::array{"strong", "data", "code", "tspan"}, [&](const char* word) {
          return tag.compare(name, std::string_view(word).size(), word) == 0;
        });
    if (!inside) text += "\n";
  }
  text += attributes;
  for (const auto& [entity, character] :
       {std::pair{"&quot;", "\""}, {"&#39;", "'"}, {"&lt;", "<"}, {"&gt;", ">"}, {"&amp;", "&"}}) {
    text = replaced(text, entity, character);
  }
  return text;
}

/// A scenario, and what its author wrote in it.
struct Example {
  std::string name, text;
  std::map<std::string, std::string> files;
  Texts authors;
  scenario::Scenario scenario;
};

Example example_of(const std::filesystem::path& path) {
  Example one{
      .name = path.filename(), .text = contents(path), .files = {}, .authors = {}, .scenario = {}};
  one.scenario = scenario::read({one.name, one.text}, {}, [&](const std::string& name) {
    return one.files[name] = contents(path.parent_path() / name);
  });
  one.authors = {one.scenario.title};
  for (const scenario::Given& given : one.scenario.given) one.authors.push_back(given.comment);
  std::ranges::sort(one.authors, std::greater{}, &std::string::size);
  return one;
}

std::vector<Example> examples() {
  std::vector<Example> all;
  for (const auto& file : std::filesystem::directory_iterator(source_dir() + "/examples")) {
    if (file.path().extension() == ".ini") all.push_back(example_of(file.path()));
  }
  return all;
}

/// All that the page of an example says, as it is made and as it answers.
std::string said(const Example& example, const std::string& language) {
  const answer::Speaking speaking(language);
  estimate::Options options{.decision_serves = true};
  options.cases = 4096;
  const answer::Asked asked{example.scenario, options, answer::UnitSystem::metric};
  const GuideSource source{example.name, example.text, "2031-05-04", {}};
  const MadeGuide made = made_guide(asked, source);
  const render::LiveParts parts = live_parts(asked, source, example.files, language);
  std::string all = read_from(render::live_page(made.page, asked.units, parts));
  for (const answer::PageSection& section : made.page.sections) {
    for (const answer::Block& block : section.blocks) all += read_from(block.svg);
  }
  for (const auto& [id, words] : render::live_words()) all += words + "\n";
  for (const char* command : {"chance", "fill", "heel", "arrive", "update", "guide"}) {
    Json request{{"command", command}, {"scenario", example.text}, {"name", example.name}};
    request["files"] = example.files;
    request["text"] = true;
    request["language"] = language;
    request["date"] = source.date;
    request["readings"] = {"0.3 L: 57 %", "1 L: 62 %"};
    const Json answer = Json::parse(answered(request.dump()));
    const bool refused = answer.contains("error");
    EXPECT_FALSE(refused && (example.name == "wagon-line.ini" || command == std::string("chance")))
        << command << " " << answer.value("error", "");
    if (refused) continue;
    for (const char* markup : {"shows", "legs", "sections", "picture"}) {
      all += read_from(answer.value(markup, "")) + "\n";
    }
    all += answer.value("text", "") + "\n" + answer.value("alt", "") + "\n";
  }
  all = in_one_line(all);
  for (const std::string& text : example.authors) all = replaced(all, text, " ");
  return all;
}

/// Parts of words that stand between places and markup, long enough to tell a language.
Texts parts_of(const std::string& words) {
  Texts parts;
  const std::regex between("\\{[1-9]\\}|<[^>]*>|&[a-z]+;|`[^`]*`");
  std::sregex_token_iterator at(words.begin(), words.end(), between, -1), end;
  for (; at != end; ++at) {
    const std::string part = in_one_line(at->str());
    if (part.size() > 10 && std::ranges::count(part, ' ') > 2) parts.push_back(part);
  }
  return parts;
}

Texts english_parts() {
  Texts all;
  const auto add = [&](const std::string& words) {
    for (std::string& part : parts_of(words)) all.push_back(std::move(part));
  };
  for (const std::string_view id : answer::all_ids()) {
    if (!id.starts_with("language.")) add(std::string(answer::english(id)));
  }
  for (const scenario::Key& key : scenario::keys()) {
    add(key.label);
    add(key.default_note);
  }
  return all;
}

/// English that is found in what a page says.
Texts english_in(const std::string& text) {
  static const Texts parts = english_parts();
  Texts all;
  for (const std::string& part : parts) {
    // Its ends may touch what fills a place.
    if (text.find(part.substr(1, part.size() - 2)) != std::string::npos) all.push_back(part);
  }
  // Small words, whatever is said with them; names of keys have points and hyphens.
  static const std::regex small(
      "[ (\"](the|The|of|and|with|which|that|from|by|to|are|is|not|or|at)(?=[ ,;:.)\"])");
  for (std::sregex_iterator at(text.begin(), text.end(), small), end; at != end; ++at) {
    const auto from = static_cast<std::size_t>(std::max<std::ptrdiff_t>(at->position() - 30, 0));
    all.push_back(text.substr(from, 70));
  }
  return all;
}

TEST(Languages, NoPageInAnotherHasEnglishOnIt) {
  std::size_t pages = 0;
  for (const answer::Language& language : answer::languages().subspan(1)) {
    for (const Example& example : examples()) {
      SCOPED_TRACE(std::string(language.name) + " " + example.name);
      const Texts found = english_in(said(example, answer::words_of(language)));
      EXPECT_THAT(found, ::testing::IsEmpty());
      ++pages;
    }
  }
  EXPECT_GE(pages, 9U);
}

TEST(Languages, EnglishIsSeenWhereItIs) {
  for (const char* name : {"wagon-line.ini", "van-two-fills.ini"}) {
    const Example example = example_of(source_dir() + "/examples/" + name);
    EXPECT_GT(english_in(said(example, "")).size(), 100U) << name;
  }
}

// Sentences without words in a language, and a label, are seen, each of them.
TEST(Languages, WordsThatAreMissingAreSeen) {
  const Example example = example_of(source_dir() + "/examples/sedan.ini");
  std::string less = answer::words_of(answer::languages()[1]);
  std::map<std::string, Texts> missing;
  missing["label.tank.capacity"] = parts_of(scenario::find_key("tank.capacity")->label);
  for (const char* id : {"guide.risk.landed", "heading.assumed", "live.link"}) {
    missing[id] = parts_of(std::string(answer::english(id)));
  }
  for (const auto& [id, parts] : missing) {
    // The end of the line before is kept.
    const std::size_t at = less.find("\n" + id + " = ");
    ASSERT_NE(at, std::string::npos) << id;
    less.erase(at, less.find('\n', at + 1) - at);
  }
  const Texts found = english_in(said(example, less));
  for (const auto& [id, parts] : missing) {
    ASSERT_FALSE(parts.empty()) << id;
    EXPECT_THAT(found, ::testing::IsSupersetOf(parts)) << id;
  }
}

TEST(Languages, ThePageSaysItsOwnAndHandsItToTheModule) {
  const Example example = example_of(source_dir() + "/examples/wagon-line.ini");
  const answer::Language& german = answer::languages()[1];
  const answer::Asked asked{example.scenario, {}, answer::UnitSystem::metric};
  const GuideSource source{example.name, example.text, "2031-05-04", {}};
  const std::string words = answer::words_of(german);
  const answer::Speaking speaking(words);
  const answer::Page page = guide_page(asked, source);
  EXPECT_THAT(page.command, HasSubstr(" --language german --seed 1"));
  EXPECT_THAT(render::page(page, asked.units), HasSubstr("<html lang=\"de\">"));
  const Json start = Json::parse(live_parts(asked, source, {}, words).start);
  EXPECT_EQ(start.at("language"), words);
  EXPECT_FALSE(Json::parse(live_parts(asked, source, {}).start).contains("language"));
}

// Numbers are the same in every language, and so is the scenario that a page shows.
TEST(Languages, AnswersHaveTheSameNumbers) {
  const Example example = example_of(source_dir() + "/examples/wagon-line.ini");
  Json request{{"command", "arrive"}, {"scenario", example.text}, {"name", example.name}};
  Json there = request;
  there["language"] = answer::words_of(answer::languages()[1]);
  const auto sources = [](const Json& answer) {
    const std::string shows = answer.at("shows");
    const std::regex number("data-source=\"[^\"]*\" value=\"[^\"]*\"");
    return Texts{std::sregex_token_iterator(shows.begin(), shows.end(), number), {}};
  };
  const Texts here = sources(Json::parse(answered(request.dump())));
  EXPECT_GT(here.size(), 10U);
  auto other = sources(Json::parse(answered(there.dump())));
  EXPECT_THAT(other, ::testing::UnorderedElementsAreArray(here));
  request["command"] = there["command"] = "scenario";
  EXPECT_EQ(answered(request.dump()), answered(there.dump()));
}

TEST(Languages, LinesThatRefuseStayEnglish) {
  const Example example = example_of(source_dir() + "/examples/wagon-line.ini");
  for (const Json& given : {Json{{"heel.indicated", "nine"}}, Json{{"tank.capacity", "9 L"}}}) {
    Json request{{"command", "chance"}, {"scenario", example.text}, {"name", example.name}};
    request["given"] = given;
    const std::string refused = answered(request.dump());
    EXPECT_THAT(refused, HasSubstr("\"error\""));
    request["language"] = answer::words_of(answer::languages()[1]);
    EXPECT_EQ(answered(request.dump()), refused);
  }
}

}  // namespace
}  // namespace blendrisk::ask::languages_test
