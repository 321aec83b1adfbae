#include "tests/answer/told.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <sstream>

#include "answer/plain_text.hpp"
#include "answer/words.hpp"
#include "tests/answer/results.hpp"

namespace blendrisk::answer::chance_text_test {
namespace {

using testing::estimate_of;
using testing::sedan;
using testing::sedan_result;

std::string text_of(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                    UnitSystem units = UnitSystem::metric) {
  return testing::text_of(scenario, result, {}, units);
}

/// The text in one line, so that a sentence is found wherever it was broken.
std::string flat(const std::string& text) {
  return cleaned(text);
}

bool holds(const std::string& text, const std::string& part) {
  return flat(text).find(part) != std::string::npos;
}

void expect_fit(const std::string& text) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_LE(width(line), k_columns) << line;
    EXPECT_FALSE(line.ends_with(' ')) << line;
    for (const char c : line) EXPECT_FALSE(static_cast<unsigned char>(c) < 0x20 || c == 0x7F);
  }
}

TEST(ChanceText, TellsAllThatIsThere) {
  const std::string text = text_of(sedan(), sedan_result());
  EXPECT_TRUE(text.starts_with("Invented sedan\n==============\n\nNOT WITHIN the accepted risk"));
  EXPECT_TRUE(holds(text, "is 2.725 % (1 in 37), 95 % interval 2.706 to 2.745 %")) << text;
  EXPECT_TRUE(holds(text, "The whole interval lies above it."));
  EXPECT_TRUE(holds(text, "landing below 62.5 % 2.725 % (1 in 37) 2.706 to 2.745 %")) << text;
  EXPECT_TRUE(holds(text, "running dry (below 3.79 L) 0.120 % (1 in 833)")) << text;
  EXPECT_TRUE(holds(text, "mean 73.4 %"));
  EXPECT_TRUE(holds(text, "standard deviation 3.1 %"));
  EXPECT_TRUE(holds(text, "median 73.6 %"));
  EXPECT_TRUE(holds(text, "95 % of cases 66.1 % to 78.9 %"));
  EXPECT_TRUE(holds(text, "gauge error (true - indicated) normal(0 L, 1.5 L)"));
  EXPECT_TRUE(holds(text, "method conditional"));
  EXPECT_TRUE(holds(text, "conditioned on fuel.content, content from the pump"));
  EXPECT_TRUE(holds(text, "by importance sampling"));
  EXPECT_TRUE(holds(text, "evaluations 16384"));
  EXPECT_TRUE(holds(text, "standard error 0.0098 %, 0.36 % of the chance"));
  EXPECT_TRUE(holds(text, "the precision of 1 % was reached"));
  for (const std::string& caution : cautions()) EXPECT_TRUE(holds(text, caution));
  expect_fit(text);
}

TEST(ChanceText, LeavesOutWhatIsAbsent) {
  scenario::Scenario scenario = sedan();
  scenario.tank.pickup_floor_l = 0.0;
  scenario.given.clear();
  estimate::ChanceResult result = sedan_result();
  result.run_dry = {};
  result.conditioned_on.clear();
  result.effort.tilted = false;
  const std::string text = text_of(scenario, result);
  for (const char* absent : {"above", "running dry", "clicking off", "assumed", "conditioned on",
                             "importance sampling", "Notes"}) {
    const std::string table = text.substr(text.find("Chance of"));
    EXPECT_FALSE(holds(table.substr(0, table.find("Cautions")), absent)) << absent;
  }
}

TEST(ChanceText, TellsMaximumMeteredFillNotesAndHeldInputs) {
  scenario::Scenario scenario = sedan();
  scenario.limits.maximum = 0.85;
  estimate::ChanceResult result = sedan_result();
  result.above_maximum = estimate_of(0.25, 0.01);
  result.clicked_off_early = estimate_of(0.5, 0.01);
  result.less_sure = {{estimate::Side::below, false}};
  result.held = {{"heel.gauge-error", 0.0123}};
  const std::string text = text_of(scenario, result);
  EXPECT_TRUE(holds(text, "landing above 85 % 25 % 23 to 27 %")) << text;
  EXPECT_TRUE(holds(text, "clicking off early 50 %"));
  EXPECT_TRUE(holds(text, "- No tilt toward landing below the minimum could be fitted: the"));
  EXPECT_TRUE(holds(text, "heel.gauge-error was held at its physical bound in 1.2 % of cases"));
  expect_fit(text);
}

TEST(ChanceText, VerdictTellsWhetherItIsClear) {
  estimate::ChanceResult result = sedan_result();
  result.met = true;
  EXPECT_TRUE(holds(text_of(sedan(), result), "== WITHIN the accepted risk of 1 %: the chance"));
  EXPECT_TRUE(holds(text_of(sedan(), result), "lies within it."));
  result.clearly = false;
  const std::string unclear = text_of(sedan(), result);
  EXPECT_TRUE(holds(unclear, "WITHIN the accepted risk of 1 %, but not clearly:")) << unclear;
  EXPECT_TRUE(holds(unclear, "does not decide it"));
}

TEST(ChanceText, RunningDryBeyondItsAcceptedRiskIsTold) {
  estimate::ChanceResult result = sedan_result();
  const std::string warning =
      "RUNS DRY TOO OFTEN: the chance that the heel is below the pickup floor before a fill is 3.0 "
      "% (1 in 33), above the accepted 1 %.";
  EXPECT_FALSE(holds(text_of(sedan(), result), warning));
  result.run_dry = estimate_of(0.03, 0.001);
  result.dry_met = false;
  EXPECT_TRUE(holds(text_of(sedan(), result), warning));
}

TEST(ChanceText, UpperBoundIsToldAsOne) {
  estimate::ChanceResult result = sedan_result();
  result.outside = {0.0, 0.0, {0.0, 3e-6}, true};
  result.below_minimum = result.outside;
  result.met = true;
  const std::string text = text_of(sedan(), result);
  EXPECT_TRUE(holds(text, "the limits is below 0.00030 % (1 in 330000).")) << text;
  EXPECT_TRUE(holds(text, "landing below 62.5 % below 0.00030 % (1 in 330000)"));
  expect_fit(text);
}

TEST(ChanceText, UsUnitsConvertWhatIsAssumedToo) {
  const std::string text = text_of(sedan(), sedan_result(), UnitSystem::us);
  EXPECT_TRUE(holds(text, "running dry (below 1 gal)"));
  EXPECT_TRUE(holds(text, "as indicated 1.585 gal"));
}

TEST(ChanceText, TinyAndCertainChancesFit) {
  for (const double chance : {6.88880624e-7, 1e-11, 0.5, 1.0}) {
    estimate::ChanceResult result = sedan_result();
    result.below_minimum = result.outside = estimate_of(chance, 1.1e-4 * chance);
    const std::string text = text_of(sedan(), result);
    EXPECT_TRUE(holds(text, "limits is " + chance_percent(chance, 1.1e-4 * chance))) << text;
    expect_fit(text);
  }
}

TEST(ChanceText, ChancesFartherOutThanAnyLawIsKnownAreOnlyBounds) {
  estimate::ChanceResult result = sedan_result();
  result.below_minimum = result.outside = estimate_of(1e-200, 1e-203);
  const std::string text = text_of(sedan(), result);
  EXPECT_TRUE(holds(text, "limits is below 1.0e-10 % (1 in 1 trillion)")) << text;
  expect_fit(text);
}

TEST(ChanceText, DefaultsAreNamedAndWhatDoesNotBearIsNot) {
  scenario::Scenario scenario = sedan();
  scenario.given.push_back({"sensor.noise", "0.5 %"});
  scenario.given.push_back({"fuel.price", "0.92 /L"});
  scenario.defaults = {{"tank.pickup-floor", "0 L"}};
  const std::string text = text_of(scenario, sedan_result());
  EXPECT_TRUE(holds(text, "pickup floor (pump draws air) 0 L (default)")) << text;
  EXPECT_FALSE(holds(text, "0.5 %"));
  EXPECT_FALSE(holds(text, "0.92"));
}

TEST(ChanceText, ExactAnswerHasNoIntervalAndSaysSo) {
  estimate::ChanceResult result = sedan_result();
  result.outside = {1.0, 0.0, {1.0, 1.0}, false};
  result.effort.stop = estimate::Stop::exact;
  const std::string text = text_of(sedan(), result);
  EXPECT_TRUE(holds(text, "the limits is 100 %. Chance of")) << text;
  EXPECT_TRUE(holds(text, "the answer is exact"));
}

TEST(ChanceText, SpentBudgetIsTold) {
  estimate::ChanceResult result = sedan_result();
  result.effort.stop = estimate::Stop::budget_spent;
  estimate::Options options;
  EXPECT_TRUE(holds(testing::text_of(sedan(), result, options, UnitSystem::metric),
                    "the budget was spent before the precision of 1 % was reached"));
  options.cases = 5000;
  EXPECT_TRUE(holds(testing::text_of(sedan(), result, options, UnitSystem::metric),
                    "the 5000 cases asked for were spent"));
}

TEST(ChanceText, NarrowSpreadKeepsItsDigits) {
  estimate::ChanceResult result = sedan_result();
  result.landed.standard_deviation = 0.00012;
  EXPECT_TRUE(holds(text_of(sedan(), result), "standard deviation 0.012 %"));
}

TEST(ChanceText, HostileTextReachesNoTerminalAndFits) {
  scenario::Scenario scenario = sedan();
  scenario.title = "Car\x1b[2J\x1b]0;x\x07\n" + std::string(500, 'y') + "\xff";
  scenario.given = {{"fuel.content", "tests(\x1b[31m" + std::string(300, '7') + ")"},
                    {std::string(200, 'k') + "\x07", "1"}};
  estimate::ChanceResult result = sedan_result();
  result.held = {{"\x1b[1m" + std::string(100, 'h'), 0.5}};
  result.conditioned_on = "\x1b[1mheel";
  const std::string text = text_of(scenario, result);
  expect_fit(text);
  EXPECT_TRUE(text.starts_with("Car yyy"));
  EXPECT_EQ(text.find("[2J"), std::string::npos);
  EXPECT_EQ(text.find("[31m"), std::string::npos);
  EXPECT_TRUE(holds(text, "yyy... ==="));
}

TEST(ChanceText, NumbersThatDoNotExistAreUnknown) {
  estimate::ChanceResult result = sedan_result();
  result.landed.mean = std::numeric_limits<double>::quiet_NaN();
  EXPECT_TRUE(holds(text_of(sedan(), result), "mean unknown"));
}

}  // namespace
}  // namespace blendrisk::answer::chance_text_test
