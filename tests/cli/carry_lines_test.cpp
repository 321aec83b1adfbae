#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/cli/temporary_files.hpp"

// --lines of chance and update, pasted as a user does.
namespace blendrisk::cli::carry_lines_test {
namespace {

using nlohmann::json;
using testing::expect_refused;
using testing::Run;
using testing::run_with;
using testing::TemporaryDirectory;

const std::string k_wagon = testing::source_dir() + "/examples/wagon-line.ini";

std::string text_of(const std::vector<std::string>& args) {
  const Run run = run_with(args);
  EXPECT_EQ(run.status, k_answered) << run.err;
  return run.out;
}

/// The tank as it is, nothing added: `going on` by the lines.
constexpr const char* k_nothing_added =
    "\n[tank]\ncapacity = 62 L\n[heel]\nindicated = 30 L\n[fuel]\ncontent = 10 %\n[fill]\namount = "
    "0 "
    "L\n[sensor]\nnoise = 0.3 %\nstep = 0.5 %\n[line]\npipe = 0.1 L\n[engine]\nidle = 1.5 "
    "L/h\n[limits]\nminimum = 69 %\n";

// A reading long after the line has been driven through says the same, whether update goes on with
// it or the lines are pasted: chances of the tank within three standard errors of both, a false
// alarm once in 370 seeds. Without the correlation they say something else.
TEST(CarryLines, PastedLinesGoOnAsUpdateDoes) {
  const TemporaryDirectory directory;
  const std::vector<std::string> first{"update", k_wagon,     "--limits.minimum",
                                       "69 %",   "--reading", "0.7 L: 71 %"};
  std::vector<std::string> on = first;
  on.insert(on.end(), {"--reading", "6 L: 71 %", "--json"});
  std::vector<std::string> lines = first;
  lines.emplace_back("--lines");
  const std::string pasted = text_of(lines) + k_nothing_added;
  const auto below = [&](const std::string& text) {
    const std::string path = directory.write("pasted.ini", text);
    return json::parse(text_of({"update", path, "--reading", "6 L: 71 %", "--json"}))
        .at("below_minimum");
  };
  const json whole = json::parse(text_of(on)).at("below_minimum");
  const double chance = whole.at("chance");
  const auto apart = [&](const json& other) {
    return std::abs(other.at("chance").get<double>() - chance) /
           std::hypot(whole.at("standard_error").get<double>(),
                      other.at("standard_error").get<double>());
  };
  EXPECT_GT(chance, 0.05);
  EXPECT_LT(chance, 0.95);
  EXPECT_LT(apart(below(pasted)), 3.0);
  const std::size_t from = pasted.find("[correlation]");
  ASSERT_NE(from, std::string::npos);
  std::string apart_from = pasted;
  apart_from.erase(from, pasted.find("\n\n", from) - from);
  EXPECT_GT(apart(below(apart_from)), 6.0);
}

TEST(CarryLines, JsonHasThemBesideTheAnswer) {
  const json answer =
      json::parse(text_of({"update", k_wagon, "--reading", "0.3 L: 61.5 %", "--lines", "--json"}));
  EXPECT_TRUE(answer.contains("rail_outside"));
  const json& lines = answer.at("lines");
  for (const char* key : {"heel.content", "line.content", "sensor.bias"}) {
    EXPECT_NE(lines.at(key).get<std::string>().find('('), std::string::npos) << key;
  }
  EXPECT_LT(lines.at("correlation").at("heel.content, sensor.bias").get<double>(), -0.5);
  EXPECT_FALSE(json::parse(text_of({"chance", k_wagon, "--json"})).contains("lines"));
}

TEST(CarryLines, TheSameOnAnyNumberOfThreads) {
  for (const std::vector<std::string>& args :
       {std::vector<std::string>{"chance", k_wagon, "--lines"},
        std::vector<std::string>{"update", k_wagon, "--reading", "0.3 L: 61.5 %", "--lines"}}) {
    std::vector<std::string> one = args;
    one.insert(one.end(), {"--threads", "1"});
    std::vector<std::string> three = args;
    three.insert(three.end(), {"--threads", "3"});
    EXPECT_EQ(text_of(one), text_of(three));
  }
}

TEST(CarryLines, AreNotForReadingsThatComeOneByOne) {
  expect_refused({"update", k_wagon, "--readings", "-", "--lines"}, "one by one", "0.3 L: 60 %\n");
}

}  // namespace
}  // namespace blendrisk::cli::carry_lines_test
