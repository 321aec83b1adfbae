#include "answer/plain_text.hpp"

#include <gtest/gtest.h>

#include <sstream>

namespace blendrisk::answer {
namespace {

TEST(PlainText, ControlCharactersAreRemoved) {
  EXPECT_EQ(cleaned("a\x01"
                    "b\x7f"
                    "c\x08"),
            "abc");
  EXPECT_EQ(cleaned(std::string_view("a\0b", 3)), "ab");
  EXPECT_EQ(cleaned("a\xc2\x85"
                    "b"),
            "ab");  // C1
}

TEST(PlainText, WhiteSpaceBecomesOneSpace) {
  EXPECT_EQ(cleaned("  a\r\n\t b \n"), "a b");
  EXPECT_EQ(cleaned("a\xe2\x80\xa8"
                    "b"),
            "a b");  // line separator
}

TEST(PlainText, EscapeSequencesAreRemovedWhole) {
  EXPECT_EQ(cleaned("a\x1b[31mred\x1b[0m"), "ared");
  EXPECT_EQ(cleaned("a\x1b[?25;1$pb"), "ab");
  EXPECT_EQ(cleaned("a\x1b]0;window title\x07"
                    "b"),
            "ab");
  EXPECT_EQ(cleaned("a\x1b]8;;http://x\x1b\\b"), "ab");
  EXPECT_EQ(cleaned("a\xc2\x9b"
                    "2Jb"),
            "ab");  // CSI as a C1 control
  EXPECT_EQ(cleaned("a\x1b(Bb\x1b"
                    "cd"),
            "abd");
  EXPECT_EQ(cleaned("a\x1b"), "a");
  EXPECT_EQ(cleaned("a\x1b[1;2"), "a");
}

TEST(PlainText, HiddenAndTurningCharactersAreRemoved) {
  EXPECT_EQ(cleaned("a\xe2\x80\xae"
                    "b\xe2\x80\x8b"
                    "c\xef\xbb\xbf"),
            "abc");
}

TEST(PlainText, WhatIsNotUtf8IsAQuestionMark) {
  EXPECT_EQ(cleaned("a\xff"
                    "b"),
            "a?b");
  EXPECT_EQ(cleaned("\xc3\xa9"), "\xc3\xa9");
  EXPECT_EQ(cleaned("\xc0\xaf"), "??");            // overlong
  EXPECT_EQ(cleaned("\xed\xa0\x80"), "???");       // surrogate
  EXPECT_EQ(cleaned("\xf4\x90\x80\x80"), "????");  // beyond U+10FFFF
  EXPECT_EQ(cleaned("\xe2\x82"), "??");            // cut short
  EXPECT_EQ(cleaned("\xc2\x1b[m\x9b"), "??");      // nothing forms from what is left
}

TEST(PlainText, WidthCountsColumns) {
  EXPECT_EQ(width("caf\xc3\xa9"), 4U);
  EXPECT_EQ(width("\xe6\xbc\xa2"), 2U);
  EXPECT_EQ(width("e\xcc\x81"), 1U);
}

TEST(PlainText, LongTextIsShortenedBetweenCharacters) {
  EXPECT_EQ(shortened("abcdef", 6), "abcdef");
  EXPECT_EQ(shortened("abcdefg", 6), "abc...");
  EXPECT_EQ(shortened("\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9", 4), "\xc3\xa9...");
  EXPECT_EQ(shortened("ab defg", 6), "ab...");
}

TEST(PlainText, WrappedLinesFitAndLoseNothing) {
  std::string words;
  for (int i = 0; i < 60; ++i) words += "word" + std::to_string(i) + " ";
  words += std::string(200, 'x');
  std::istringstream lines(wrapped(words, "  - "));
  std::string joined;
  int count = 0;
  for (std::string line; std::getline(lines, line); ++count) {
    EXPECT_LE(width(line), k_columns);
    EXPECT_TRUE(line.starts_with(count == 0 ? "  - w" : "    ")) << line;
    for (const char c : line.substr(4)) {
      if (c != ' ') joined += c;
    }
  }
  std::erase(words, ' ');
  EXPECT_EQ(joined, words);
  EXPECT_GT(count, 6);
}

}  // namespace
}  // namespace blendrisk::answer
