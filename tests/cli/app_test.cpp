#include <nlohmann/json.hpp>
#include <ostream>
#include <streambuf>
#include <string>

#include "scenario/keys.hpp"
#include "tests/cli/temporary_files.hpp"

namespace blendrisk::cli {
namespace {

using testing::run_with;
using testing::TemporaryDirectory;

/// A stream that takes nothing, as a full disk does.
class FullDisk : public std::streambuf {};

std::string starter(const TemporaryDirectory& directory) {
  return directory.write("car.ini", run_with({"new"}).out);
}

TEST(App, StarterScenarioRunsAsItIs) {
  const TemporaryDirectory directory;
  const auto result = run_with({"chance", starter(directory)});
  EXPECT_EQ(result.status, k_answered);
  EXPECT_EQ(result.err, "");
  EXPECT_NE(result.out.find("Invented sedan"), std::string::npos);
}

TEST(App, JsonIsOneObjectOnOneLine) {
  const TemporaryDirectory directory;
  const auto result = run_with({"chance", starter(directory), "--json", "--cases", "1e3"});
  ASSERT_EQ(result.status, k_answered) << result.err;
  EXPECT_EQ(result.out.find('\n'), result.out.size() - 1);
  const auto object = nlohmann::json::parse(result.out);
  EXPECT_EQ(object.at("command"), "chance");
  EXPECT_EQ(object.at("seed"), 1);
}

TEST(App, OverrideChangesTheAnswer) {
  const TemporaryDirectory directory;
  const std::string car = starter(directory);
  const auto chance_at = [&](const std::string& indicated) {
    const auto result = run_with({"chance", car, "--heel.indicated", indicated, "--json"});
    EXPECT_EQ(result.status, k_answered) << result.err;
    return nlohmann::json::parse(result.out).at("below_minimum").at("chance").get<double>();
  };
  EXPECT_LT(chance_at("3 L"), chance_at("20 L"));
}

TEST(App, RequireTurnsARiskNotMetIntoStatusThree) {
  const TemporaryDirectory directory;
  const std::string car = starter(directory);
  EXPECT_EQ(run_with({"chance", car, "--heel.indicated", "40 L"}).status, k_answered);
  const auto refused = run_with({"chance", car, "--heel.indicated", "40 L", "--require"});
  EXPECT_EQ(refused.status, k_risk_not_met);
  EXPECT_NE(refused.out, "");
  EXPECT_EQ(run_with({"chance", car, "--limits.minimum", "20 %", "--require"}).status, k_answered);
}

TEST(App, AnswerThatCannotBeWrittenIsStatusOne) {
  FullDisk full;
  std::ostream out(&full);
  std::istringstream in;
  std::ostringstream err;
  EXPECT_EQ(run({"new"}, in, out, err), k_could_not_finish);
  EXPECT_TRUE(err.str().starts_with("blendrisk: the answer cannot be written"));
}

TEST(App, MeasuredPathIsRelativeToTheScenario) {
  const TemporaryDirectory directory;
  directory.write("tests.csv", "content_percent\n70\n74\n78\n");
  const auto result = run_with({"chance", starter(directory), "--fuel.content",
                                "measured(\"tests.csv\", \"content_percent\")"});
  EXPECT_EQ(result.status, k_answered) << result.err;
}

TEST(App, HelpNamesEveryKeyAndOption) {
  const std::string keys = run_with({"help", "keys"}).out;
  for (const scenario::Key& key : scenario::keys()) {
    EXPECT_NE(keys.find("  " + key.name + " "), std::string::npos) << key.full_name();
  }
  EXPECT_EQ(run_with({"--help", "keys"}).out, keys);
  const auto chance = run_with({"chance", "--help"});
  EXPECT_EQ(chance.status, k_answered);
  EXPECT_NE(chance.out.find("--precision"), std::string::npos);
  EXPECT_EQ(run_with({"help", "chance"}).out, chance.out);
  EXPECT_NE(run_with({"--help"}).out.find("Usage"), std::string::npos);
}

TEST(App, VersionIsOneLine) {
  const auto result = run_with({"--version"});
  EXPECT_EQ(result.status, k_answered);
  EXPECT_TRUE(result.out.starts_with("blendrisk "));
  EXPECT_EQ(result.out.find('\n'), result.out.size() - 1);
}

}  // namespace
}  // namespace blendrisk::cli
