#include "tests/answer/told.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "answer/words.hpp"
#include "tests/answer/results.hpp"
#include "version.hpp"

namespace blendrisk::answer {
namespace {

using testing::estimate_of;
using testing::sedan;
using testing::sedan_result;
using Json = nlohmann::ordered_json;

Json json_of(const scenario::Scenario& scenario, const estimate::ChanceResult& result) {
  return Json::parse(testing::json_of(scenario, result, {}, 0.25));
}

TEST(ChanceJson, IsOneLine) {
  const std::string text = testing::json_of(sedan(), sedan_result(), {}, 0.25);
  EXPECT_EQ(text.find('\n'), text.size() - 1);
}

TEST(ChanceJson, HasEveryFieldAndNoOther) {
  const Json object = json_of(sedan(), sedan_result());
  std::vector<std::string> names;
  for (const auto& [name, value] : object.items()) names.push_back(name);
  const std::vector<std::string> expected{"command",
                                          "title",
                                          "version",
                                          "seed",
                                          "method",
                                          "conditioned_on",
                                          "importance_sampling",
                                          "stopped",
                                          "evaluations",
                                          "elapsed_s",
                                          "landed",
                                          "below_minimum",
                                          "above_maximum",
                                          "above_maximum_reason",
                                          "outside",
                                          "run_dry",
                                          "clicked_off_early",
                                          "clicked_off_early_reason",
                                          "accepted_risk",
                                          "met",
                                          "clearly",
                                          "dry_risk",
                                          "dry_met",
                                          "notes",
                                          "cautions"};
  EXPECT_EQ(names, expected);
}

TEST(ChanceJson, ValuesAreThoseOfTheResult) {
  estimate::Options options;
  options.seed = std::numeric_limits<std::uint64_t>::max();
  const Json object = Json::parse(testing::json_of(sedan(), sedan_result(), options, 0.25));
  EXPECT_EQ(object["command"], "chance");
  EXPECT_EQ(object["title"], "Invented sedan");
  EXPECT_EQ(object["version"], k_version);
  EXPECT_EQ(object["seed"], std::numeric_limits<std::uint64_t>::max());
  EXPECT_EQ(object["method"], "conditional");
  EXPECT_EQ(object["conditioned_on"], "fuel.content");
  EXPECT_EQ(object["importance_sampling"], true);
  EXPECT_EQ(object["stopped"], "precision reached");
  EXPECT_EQ(object["evaluations"], 16384);
  EXPECT_EQ(object["elapsed_s"], 0.25);
  EXPECT_EQ(object["landed"]["mean"], 0.7342);
  EXPECT_EQ(object["landed"]["standard_deviation"], 0.0312);
  EXPECT_EQ(object["landed"]["quantiles"].dump(),
            R"({"0.025":0.661,"0.05":0.672,"0.5":0.7359,"0.95":0.781,"0.975":0.789})");
  EXPECT_EQ(object["below_minimum"]["chance"], 0.0272536);
  EXPECT_EQ(object["below_minimum"]["limit"], 0.625);
  EXPECT_EQ(object["outside"].size(), 3U);
  EXPECT_EQ(object["outside"]["standard_error"], 0.000098);
  EXPECT_EQ(object["outside"]["interval_95"][1], 0.0272536 + 2.0 * 0.000098);
  EXPECT_EQ(object["run_dry"]["floor"], 3.785411784);
  EXPECT_EQ(object["accepted_risk"], 0.01);
  EXPECT_EQ(object["met"], false);
  EXPECT_EQ(object["cautions"], Json(cautions()));
}

TEST(ChanceJson, QuantileNamesAreTheOrders) {
  const Json object = json_of(sedan(), sedan_result());
  std::size_t i = 0;
  for (const auto& [name, value] : object["landed"]["quantiles"].items()) {
    ASSERT_LT(i, estimate::k_quantile_orders.size());
    EXPECT_EQ(Json::parse(name), estimate::k_quantile_orders[i++]);
  }
  EXPECT_EQ(i, estimate::k_quantile_orders.size());
}

TEST(ChanceJson, WhatDoesNotExistIsNullWithItsReason) {
  scenario::Scenario scenario = sedan();
  scenario.limits.minimum.reset();
  estimate::ChanceResult result = sedan_result();
  result.below_minimum.reset();
  result.conditioned_on.clear();
  const Json object = json_of(scenario, result);
  for (const char* name :
       {"below_minimum", "above_maximum", "clicked_off_early", "conditioned_on"}) {
    EXPECT_TRUE(object.at(name).is_null()) << name;
    EXPECT_NE(object.at(std::string(name) + "_reason"), "") << name;
  }
}

TEST(ChanceJson, WhatExistsHasNoReason) {
  scenario::Scenario scenario = sedan();
  scenario.limits.maximum = 0.85;
  estimate::ChanceResult result = sedan_result();
  result.above_maximum = estimate_of(0.25, 0.01);
  result.clicked_off_early = estimate_of(0.5, 0.01);
  const std::string text = testing::json_of(scenario, result, {}, 0.25);
  EXPECT_EQ(text.find("_reason"), std::string::npos);
  EXPECT_EQ(Json::parse(text)["above_maximum"]["limit"], 0.85);
  EXPECT_EQ(Json::parse(text)["clicked_off_early"]["chance"], 0.5);
}

TEST(ChanceJson, NumberThatIsNotFiniteIsNullWithItsReason) {
  estimate::ChanceResult result = sedan_result();
  result.landed.mean = std::numeric_limits<double>::quiet_NaN();
  result.landed.quantiles[4] = std::numeric_limits<double>::infinity();
  result.outside.standard_error = std::numeric_limits<double>::infinity();
  result.outside.interval[1] = std::numeric_limits<double>::infinity();
  const Json object = json_of(sedan(), result);
  EXPECT_TRUE(object["landed"]["mean"].is_null());
  EXPECT_TRUE(object["landed"].contains("mean_reason"));
  EXPECT_TRUE(object["landed"]["quantiles"]["0.975"].is_null());
  EXPECT_TRUE(object["landed"]["quantiles"].contains("0.975_reason"));
  EXPECT_TRUE(object["outside"]["standard_error"].is_null());
  EXPECT_TRUE(object["outside"].contains("standard_error_reason"));
  EXPECT_TRUE(object["outside"]["interval_95"][1].is_null());
  EXPECT_TRUE(object["outside"]["interval_95"][0].is_number());
  EXPECT_TRUE(object["outside"].contains("interval_95_reason"));
}

TEST(ChanceJson, TinyAndCertainChancesKeepAllDigits) {
  for (const double chance : {6.88880624e-7, 1e-200, 1e-300, 1.0}) {
    estimate::ChanceResult result = sedan_result();
    result.outside.chance = chance;
    EXPECT_EQ(json_of(sedan(), result)["outside"]["chance"].get<double>(), chance);
  }
}

TEST(ChanceJson, NoNumberIsMinusZero) {
  estimate::ChanceResult result = sedan_result();
  result.outside = {-0.0, -0.0, {-0.0, -0.0}, false};
  EXPECT_EQ(testing::json_of(sedan(), result, {}, -0.0).find("-0.0,"), std::string::npos);
  EXPECT_EQ(json_of(sedan(), result)["outside"].dump(),
            R"({"chance":0.0,"standard_error":0.0,"interval_95":[0.0,0.0]})");
}

TEST(ChanceJson, NotesTellHeldInputsAndBounds) {
  estimate::ChanceResult result = sedan_result();
  result.less_sure = {{estimate::Side::above, true}};
  result.held = {{"heel.gauge-error", 0.0123}};
  result.run_dry = {0.0, 0.0, {0.0, 1e-6}, true};
  const Json notes = json_of(sedan(), result)["notes"];
  ASSERT_EQ(notes.size(), 3U);
  EXPECT_EQ(
      notes[0],
      "A few of the points carry most of the chance of landing above the maximum: its interval "
      "is less sure than 95 %.");
  EXPECT_EQ(notes[1], "heel.gauge-error was held at its physical bound in 1.2 % of cases");
  EXPECT_EQ(notes[2], "run_dry: read the upper end of interval_95 as a bound");
}

TEST(ChanceJson, AnyBytesInTextsAreAnswered) {
  scenario::Scenario scenario = sedan();
  scenario.title = "a\xff\x1b[2J\xc2\x9b\n\"\\";
  estimate::ChanceResult result = sedan_result();
  result.held = {{"\xc3", 0.5}};
  result.conditioned_on = "\xed\xa0\x80";
  std::string text;
  ASSERT_NO_THROW(text = testing::json_of(scenario, result, {}, 0.25));
  for (const char c : text.substr(0, text.size() - 1)) EXPECT_TRUE(c >= 0x20 && c < 0x7F);
  EXPECT_EQ(Json::parse(text)["title"], "a\xef\xbf\xbd\x1b[2J\xc2\x9b\n\"\\");
}

}  // namespace
}  // namespace blendrisk::answer
