#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <regex>

#include "tests/cli/temporary_files.hpp"

// `guide --language`.
namespace blendrisk::cli::guide_language_test {
namespace {

using testing::contents;
using ::testing::HasSubstr;
using ::testing::Not;
using testing::run_with;
using testing::source_dir;
using testing::TemporaryDirectory;
using testing::text_of;

class GuideLanguage : public ::testing::Test {
 protected:
  /// The page; what is said on the terminal is English in any case.
  std::string page(const std::vector<std::string>& more = {}) const {
    std::vector<std::string> args{
        "guide", source_dir() + "/examples/sedan.ini", "--static", "--cases", "1024", "--output",
        path};
    args.insert(args.end(), more.begin(), more.end());
    const std::string said = text_of(args);
    EXPECT_THAT(said, HasSubstr("Never rely on a computed chance alone"));
    return contents(path);
  }
  TemporaryDirectory directory;
  std::string path = directory.file("guide.html");
};

/// Every number of a page with where it comes from.
std::vector<std::string> numbers_of(const std::string& page) {
  static const std::regex number("data-source=\"[^\"]*\" value=\"[^\"]*\"");
  std::vector<std::string> all{std::sregex_token_iterator(page.begin(), page.end(), number), {}};
  std::ranges::sort(all);
  return all;
}

TEST_F(GuideLanguage, IsNamedInWordsOrByItsTag) {
  const std::string english = page();
  EXPECT_EQ(page({"--language", "en"}), english);
  EXPECT_EQ(page({"--language", "english"}), english);
  EXPECT_THAT(english, HasSubstr("<html lang=\"en\">"));
  EXPECT_THAT(english, Not(HasSubstr("--language")));
  const std::string german = page({"--language", "german"});
  EXPECT_EQ(page({"--language", "de"}), german);
  EXPECT_THAT(german, HasSubstr("<html lang=\"de\">"));
  EXPECT_THAT(german, HasSubstr("Was zu tun ist"));
  EXPECT_THAT(german, HasSubstr("blendrisk guide sedan.ini --language german --seed 1"));
  EXPECT_THAT(german, Not(HasSubstr("What to do")));
  EXPECT_EQ(numbers_of(german), numbers_of(english));
  EXPECT_EQ(page(), english) << "no page leaves its language behind";
}

TEST_F(GuideLanguage, OneThatIsNotKnownIsRefusedWithThoseThatAre) {
  const auto refused = run_with(
      {"guide", source_dir() + "/examples/sedan.ini", "--language", "latin", "--output", path});
  EXPECT_EQ(refused.status, k_bad_input);
  EXPECT_EQ(refused.err,
            "blendrisk: --language: 'latin' is not known; de or en or english or german\n");
  EXPECT_FALSE(std::filesystem::exists(path));
}

}  // namespace
}  // namespace blendrisk::cli::guide_language_test
