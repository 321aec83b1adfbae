#include "answer/words.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <string>

#include "scenario/keys.hpp"
#include "tests/source_dir.hpp"

namespace blendrisk::answer {
namespace {

using blendrisk::testing::source_dir;
using ::testing::HasSubstr;

TEST(Cautions, TellWhatHurtsPeopleAndEngines) {
  std::string all;
  for (const std::string& caution : cautions()) all.append(caution).append("\n");
  EXPECT_THAT(all, HasSubstr("flammable"));
  EXPECT_THAT(all, HasSubstr("run down a tank in ways that the car's manual advises against"));
  EXPECT_THAT(all, HasSubstr("still burns the old fuel of the line"));
  EXPECT_THAT(all, HasSubstr("Never rely on a computed chance alone"));
  EXPECT_THAT(all, HasSubstr("read it before loading the engine"));
}

TEST(Cautions, OneIsShortEnoughForAnyPlace) {
  const std::string caution = "caution.short"_w;
  EXPECT_LT(caution.size(), 100U);
  for (const char c : caution) EXPECT_TRUE(c >= ' ' && c <= '~' && c != ',') << c;
  EXPECT_THAT(caution, HasSubstr("Never rely on a computed chance alone"));
  EXPECT_THAT(caution, HasSubstr("the line's old fuel"));
}

TEST(Labels, EveryKeyHasWordsThatFit) {
  ASSERT_FALSE(scenario::keys().empty());
  for (const scenario::Key& key : scenario::keys()) {
    const std::string words = label(key.full_name());
    EXPECT_LE(words.size(), k_label_columns) << words;
    if (key.full_name() == "title") continue;  // is its own word
    EXPECT_NE(words, key.full_name());
  }
}

TEST(Labels, LaterFillsAreTold) {
  EXPECT_EQ(label("fuel.content"), "content from the pump");
  EXPECT_EQ(label("fill-2.content"), "fill 2: content from the pump");
}

TEST(Labels, UnknownKeyIsItsOwnLabel) {
  EXPECT_EQ(label("elsewhere.content"), "elsewhere.content");
  EXPECT_EQ(label("word"), "word");
}

TEST(Words, PlacesAreFilledInTheOrderOfTheWords) {
  EXPECT_EQ(filled("{2} of {1}, {1}", {"a", "b"}), "b of a, a");
  EXPECT_EQ(filled("{3}|{a}|{", {"a"}), "|{a}|{");
  EXPECT_EQ(filled("{1}", {"{2}", "never filled again"}), "{2}");
}

TEST(Words, WhatIsSaidIsThereAndWhatIsThereIsSaid) {
  std::string code;
  for (const char* folder : {"/src/answer", "/src/render", "/src/ask", "/src/cli"}) {
    for (const auto& file : std::filesystem::directory_iterator(source_dir() + folder)) {
      if (file.path().extension() == ".words") continue;
      std::ifstream in(file.path());
      code.append(std::istreambuf_iterator<char>(in), {});
    }
  }
  static const std::regex literal(R"re((say\()?"([a-z_.0-9-]+)"(_w|,|\)))re");
  for (std::sregex_iterator at(code.begin(), code.end(), literal), end; at != end; ++at) {
    if ((*at)[1].matched || (*at)[3] == "_w") {
      EXPECT_TRUE(has_words((*at)[2].str())) << (*at)[2];
    }
  }
  // An id stands whole, or its front does where the end is added.
  for (const std::string_view id : all_ids()) {
    std::string front(id);
    bool said = false;
    while (!said && !front.empty()) {
      said = code.find('"' + front + '"') != std::string::npos ||
             code.find('"' + front + '.') != std::string::npos;
      front.resize(front.find_last_of('.') == std::string::npos ? 0 : front.find_last_of('.'));
    }
    EXPECT_TRUE(said) << id;
  }
}

}  // namespace
}  // namespace blendrisk::answer
