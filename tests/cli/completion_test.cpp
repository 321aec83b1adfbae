#include "cli/completion.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "scenario/keys.hpp"
#include "tests/cli/temporary_files.hpp"

// What the program itself offers; tests/package/completion.sh has it with the shell's part.
namespace blendrisk::cli {
namespace {

using ::testing::HasSubstr;

TEST(Completion, TellsTheWordThenWhatAFileBeginsWithThenWhatFits) {
  EXPECT_EQ(completions("blendrisk cha"), "cha\ncha\nchance\n");
  EXPECT_EQ(completions("blendrisk chance --method=cr"), "--method=cr\ncr\n--method=crude\n");
  EXPECT_EQ(completions("blendrisk chance --output=a b"), "b\nb\n*/\n*.ini\n");
  EXPECT_EQ(completions("blendrisk chance --output=a"), "--output=a\na\n*/\n*.svg\n*.png\n*.pdf\n");
}

TEST(Completion, QuotesAndBackslashesAreTakenAsAShellDoes) {
  EXPECT_EQ(completions("  blendrisk 'chance' --meth\\od \"cr"), "\"cr\ncr\ncrude\n");
  EXPECT_EQ(completions(R"(blendrisk chance two\ c)"), "two c\ntwo c\n*/\n*.ini\n");
  EXPECT_EQ(completions(R"(blendrisk curve x.ini --by "a b" --scale li)"), "li\nli\nlinear\n");
}

TEST(Completion, EveryKeyIsOffered) {
  for (const std::string& name : scenario::key_names()) {
    EXPECT_THAT(completions("blendrisk chance --" + name.substr(0, name.size() - 1)),
                HasSubstr("\n--" + name + "\n"));
  }
}

TEST(Completion, NothingIsSaidOfALineThatMeddlesWithATerminal) {
  EXPECT_EQ(completions("blendrisk chance \x1b[2J"), "");
  EXPECT_EQ(completions("blendrisk\nchance "), "");
}

TEST(Completion, ColumnsAreThoseOfTheLogWithoutWhatIsNotPrintable) {
  const testing::TemporaryDirectory directory;
  const std::string log = directory.write("log.csv", "pump,con\x1btent\r\na,74\n");
  EXPECT_EQ(completions("blendrisk learn --log " + log + " --group "), "\n\npump\ncontent\n");
  EXPECT_EQ(completions("blendrisk learn --log " + directory.file("") + " --group "), "\n\n");
}

TEST(Completion, IsWhatTheHiddenCallPrints) {
  const auto run = testing::run_with({"complete-line", "blendrisk he"});
  EXPECT_EQ(run.status, k_answered);
  EXPECT_EQ(run.out, "he\nhe\nheel\nhelp\n");
  EXPECT_EQ(testing::run_with({"complete-line"}).status, k_bad_input);
}

}  // namespace
}  // namespace blendrisk::cli
