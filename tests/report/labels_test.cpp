#include "report/labels.hpp"

#include <gtest/gtest.h>

#include "scenario/keys.hpp"

namespace blendrisk::report {
namespace {

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

}  // namespace
}  // namespace blendrisk::report
