#include <set>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "scenario/keys.hpp"
#include "tests/cli/temporary_files.hpp"

// The scenarios that `blendrisk new` prints hold every section and key, run as they are, and run
// with what stands behind ; taken in.
namespace blendrisk::cli {
namespace {

using testing::run_with;
using testing::TemporaryDirectory;
using Sections = std::set<std::string>;

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

/// The section that a line begins, read or behind ;. Empty where it begins none.
std::string section_begun(const std::string& line) {
  const std::size_t from = line.starts_with(';') ? 1 : 0;
  const std::size_t end = line.find(']');
  if (line.size() <= from || line[from] != '[' || end == std::string::npos) return {};
  return line.substr(from + 1, end - from - 1);
}

/// The text with the ; taken from the lines of some sections, and without some lines of keys.
std::string taken_in(const std::string& text, const Sections& sections,
                     const std::set<std::string>& without = {}) {
  std::string result;
  std::string section;
  for (std::string line : lines_of(text)) {
    if (const std::string begun = section_begun(line); !begun.empty()) section = begun;
    if (sections.contains(section) && line.starts_with(';')) line.erase(0, 1);
    const std::string key = section + "." + line.substr(0, line.find(' '));
    if (!without.contains(key)) result += line + "\n";
  }
  return result;
}

class New : public ::testing::TestWithParam<std::vector<std::string>> {
 protected:
  void SetUp() override {
    const auto result = run_with(GetParam());
    ASSERT_EQ(result.status, k_answered) << result.err;
    text_ = result.out;
  }
  void expect_runs(const std::string& command, const std::string& text) {
    const auto result = run_with({command, directory_.write("car.ini", text)});
    EXPECT_EQ(result.status, k_answered) << result.err << text;
    EXPECT_NE(result.out.find("Invented sedan"), std::string::npos);
  }

  std::string text_;
  TemporaryDirectory directory_;
};

TEST_P(New, EverySectionAndKeyIsThere) {
  std::set<std::string> there;
  std::string section;
  for (const std::string& line : lines_of(text_)) {
    if (const std::string begun = section_begun(line); !begun.empty()) section = begun;
    for (const scenario::Key& key : scenario::keys()) {
      const bool named = line.find(key.name + " = ") != std::string::npos;
      if (key.section == section && named) there.insert(key.full_name());
    }
  }
  for (const scenario::Key& key : scenario::keys()) {
    if (key.section.starts_with("fill-") && key.section != "fill-2") continue;
    // Shown once, in [fuel].
    if (key.full_name() == "fill-2.price") continue;
    EXPECT_TRUE(there.contains(key.full_name())) << key.full_name();
  }
  EXPECT_NE(text_.find(";[correlation]\n"), std::string::npos);
}

TEST_P(New, RunsAsItIs) {
  for (const char* command : {"chance", "fill", "heel"}) expect_runs(command, text_);
}

TEST_P(New, RunsWithEachSectionTakenIn) {
  const Sections all{"sensor", "tester", "fuel",   "fill-2",     "line",
                     "engine", "before", "limits", "correlation"};
  for (const std::string& section : all) {
    Sections some{section};
    if (section == "correlation") some.insert("fill-2");
    expect_runs("chance", taken_in(text_, some));
  }
  expect_runs("chance", taken_in(text_, all));
  expect_runs("arrive", taken_in(text_, {"sensor", "line", "engine"}));
}

TEST_P(New, RunsWithTheOtherWaysToKnowTheHeel) {
  const std::string both = taken_in(text_, {"heel", "sensor"},
                                    {"heel.indicated", "heel.content", "heel.now", "heel.to-pump"});
  EXPECT_NE(both.find("\nreading = "), std::string::npos);
  EXPECT_NE(both.find("\ndistance-left = "), std::string::npos);
  expect_runs("chance", both);
  const std::string away = taken_in(
      text_, {"heel", "sensor", "engine"},
      {"heel.indicated", "heel.content", "heel.distance-left", "heel.economy", "heel.reserve"});
  EXPECT_NE(away.find("\nnow = "), std::string::npos);
  expect_runs("heel", away);
}

// A number is invented, as the head says of those without a word beside them, or it has its source,
// on its line or in the comment above.
TEST_P(New, NumbersOfTheOutsideNameTheirSource) {
  EXPECT_NE(text_.find("# Numbers without a source beside them are invented.\n"),
            std::string::npos);
  for (const char* number : {"51 %", "uniform(0 %", "gauge-error = ", "bias = ", "idle = "}) {
    std::string above;
    for (const std::string& only : lines_of(text_)) {
      if (only.starts_with("# ")) {
        above += only + " ";
        continue;
      }
      const std::string line = std::exchange(above, "") + only;
      if (only.find(number) == std::string::npos || only.starts_with(";content")) continue;
      const bool named = line.find("from memory") != std::string::npos ||
                         line.find("common practice, no source") != std::string::npos ||
                         line.find("US DOE") != std::string::npos;
      EXPECT_TRUE(named) << line;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(BothWays, New,
                         ::testing::Values(std::vector<std::string>{"new"},
                                           std::vector<std::string>{"new", "--back"}),
                         [](const auto& way) { return way.param.size() == 1 ? "There" : "Back"; });

TEST(NewCommand, TheWayBackHasAMaximum) {
  const TemporaryDirectory directory;
  const auto answer = [&](const std::vector<std::string>& words) {
    const std::string car = directory.write("car.ini", run_with(words).out);
    return nlohmann::json::parse(run_with({"chance", car, "--json"}).out);
  };
  const auto back = answer({"new", "--back"});
  EXPECT_FALSE(back.at("above_maximum").is_null());
  EXPECT_TRUE(back.at("below_minimum").is_null());
  EXPECT_LT(back.at("landed").at("mean"), 0.4);
  const auto there = answer({"new"});
  EXPECT_FALSE(there.at("below_minimum").is_null());
  EXPECT_GT(there.at("landed").at("mean"), 0.6);
  EXPECT_NE(run_with({"new", "--help"}).out.find("--back"), std::string::npos);
}

}  // namespace
}  // namespace blendrisk::cli
