#include "scenario/correlation.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "tests/scenarios.hpp"
#include "text/error.hpp"

namespace blendrisk::scenario {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::scenario_of;

const std::string k_car =
    "[tank]\ncapacity = 60 L\n[heel]\nindicated = 10 L\ngauge-error = normal(0 L, 1 L)\n"
    "content = normal(10 %, 2 %)\n[fuel]\ncontent = normal(75 %, 3 %)\n[fill]\namount = 30 L\n"
    "[fill-2]\ncontent = normal(75 %, 3 %)\nburn-first = 20 L\n[limits]\nminimum = 50 %\n"
    "[correlation]\n";

std::string error_of(const std::string& lines) {
  try {
    scenario_of(k_car + lines);
  } catch (const text::Error& error) {
    return error.what();
  }
  return "accepted";
}

TEST(Correlation, LinesAreReadInEitherOrderOfTheKeys) {
  const Scenario scenario = scenario_of(k_car +
                                        "fill-2.content,fuel.content = 0.6 # the same supplier\n"
                                        "heel.gauge-error, heel.content = -0.25\n");
  ASSERT_EQ(scenario.correlations.size(), 2U);
  EXPECT_EQ(scenario.correlations[0].first, "fuel.content");
  EXPECT_EQ(scenario.correlations[0].second, "fill-2.content");
  EXPECT_EQ(scenario.correlations[0].rank, 0.6);
  EXPECT_EQ(scenario.correlations[1].rank, -0.25);
  EXPECT_EQ(scenario.given.back().value, "-0.25 of heel.gauge-error and heel.content");
}

TEST(Correlation, BadLinesGetOneLineThatNamesThem) {
  const std::string pair = "fuel.content, fill-2.content";
  for (const auto& [lines, says] : std::vector<std::pair<std::string, std::string>>{
           {"fuel.content = 0.5\n", "test.ini:17: correlation: 'fuel.content' does not name two"},
           {"fuel.content, fuel.contents = 0.5\n",
            "'fuel.contents' is an unknown key (the nearest"},
           {"fuel.content, fill.amount = 0.5\n", "'fill.amount' is never uncertain"},
           {"fuel.content, fuel.content = 0.5\n", "'fuel.content' is named twice"},
           {"a, b, c = 0.5\n", "'a' is an unknown key"},
           {", = 0.5\n", "'' is an unknown key"},
           {pair + " = 1\n", "'1' is no rank correlation; two uncertain inputs and their rank"},
           {pair + " = -1.0\n", "'-1.0' is no rank correlation"},
           {pair + " = 60 %\n", "'60 %' is no rank correlation"},
           {pair + " = nan\n", "'nan' is no rank correlation"},
           {pair + " =\n", "'' is no rank correlation"},
           {pair + " = 0.1\nfill-2.content, fuel.content = 0.1\n", "is given twice, on lines 17"},
           {"fuel.content, fill-3.content = 0.5\n", "fill-3.content is not given"},
           {"fuel.content, line.content = 0.5\n", "line.content is not given"},
           {"fuel.content, fill-2.burn-first = 0.5\n", "fill-2.burn-first is exact"},
           {"fuel.content, fuel.hose-volume = 0.5\n", "fuel.hose-volume is exact"}}) {
    const std::string error = error_of(lines);
    EXPECT_THAT(error, HasSubstr(says)) << lines;
    EXPECT_EQ(error.find('\n'), std::string::npos) << lines;
  }
}

// The first two alone, with 0 for the third, have no factor; all three have.
TEST(Correlation, LinesThatOnlyHoldTogetherAreAccepted) {
  EXPECT_EQ(error_of("heel.content, heel.gauge-error = 0.89\nheel.content, fuel.content = -0.74\n"
                     "heel.gauge-error, fuel.content = -0.94\n"),
            "accepted");
}

// Three equal correlations −1/2 of scores are the least that can be; of ranks they are a little
// less. The heel's content has no part in it.
TEST(Correlation, AMatrixThatIsNotPositiveDefiniteIsRefusedAndTheSetNamed) {
  const std::string error = error_of(
      "heel.content, fuel.content = 0.1\nheel.gauge-error, fuel.content = -0.5\n"
      "fuel.content, fill-2.content = -0.5\nheel.gauge-error, fill-2.content = -0.5\n");
  EXPECT_THAT(error, HasSubstr("test.ini:20: correlation.heel.gauge-error, fill-2.content: the "
                               "correlations of fuel.content, heel.gauge-error and fill-2.content "
                               "exclude each other (their matrix is not positive definite)"));
  EXPECT_EQ(
      error_of("heel.gauge-error, fuel.content = -0.47\nfuel.content, fill-2.content = -0.47\n"
               "heel.gauge-error, fill-2.content = -0.47\n"),
      "accepted");
}

TEST(Correlation, ConflictingIsTheSmallestSet) {
  EXPECT_TRUE(conflicting({{"a", "b", 0.9}, {"b", "c", 0.9}, {"a", "c", 0.9}}).empty());
  EXPECT_THAT(conflicting({{"x", "a", 0.3}, {"a", "b", 0.9}, {"b", "c", 0.9}, {"a", "c", -0.9}}),
              ElementsAre("a", "b", "c"));
}

// ρ = (6/π) asin(r/2).
TEST(Correlation, ScoresCorrelateALittleMoreThanRanks) {
  EXPECT_NEAR(score_correlation(6.0 / M_PI * std::asin(0.45)), 0.9, 1e-15);
  EXPECT_NEAR(score_correlation(-0.5), -2.0 * std::sin(M_PI / 12.0), 1e-15);
  EXPECT_EQ(score_correlation(0.0), 0.0);
}

}  // namespace
}  // namespace blendrisk::scenario
