#include "answer/live.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "answer/shared.hpp"
#include "render/page.hpp"
#include "scenario/keys.hpp"
#include "tank/between_fills.hpp"
#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

// What the page that computes asks for and says.
namespace blendrisk::answer::live_test {
namespace {

using blendrisk::testing::example;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

std::vector<std::string> keys_of(const std::vector<LiveField>& fields) {
  std::vector<std::string> keys;
  for (const LiveField& field : fields) keys.push_back(field.key);
  return keys;
}

std::string said(const scenario::Scenario& scenario) {
  const estimate::Options options{.threads = 1};
  const Asked asked{scenario, options};
  return render::blocks(live(asked, tank::estimate_chance(scenario, options)), UnitSystem::metric);
}

TEST(LiveFields, TheGaugeIsAskedForAsTheScenarioHasIt) {
  EXPECT_THAT(keys_of(pump_fields(example("sedan.ini"))),
              ElementsAre("heel.indicated", "fuel.content"));
  EXPECT_THAT(keys_of(pump_fields(example("hatchback-metered.ini"))),
              ElementsAre("heel.distance-left", "fuel.content"));
  EXPECT_THAT(keys_of(pump_fields(example("van-two-fills.ini"))),
              ElementsAre("heel.indicated", "fuel.content", "fill-2.content"));
  EXPECT_THAT(keys_of(done_fields(example("van-two-fills.ini"))),
              ElementsAre("fill.shown", "fill.stopped-by", "fill-2.shown", "fill-2.stopped-by"));
}

TEST(LiveFields, TheWorkshopHasEveryKeyOfTheFillsThatThereAre) {
  for (const auto& [name, later] : {std::pair{"sedan.ini", false}, {"van-two-fills.ini", true}}) {
    SCOPED_TRACE(name);
    std::size_t fields = 0;
    bool second = false;
    for (const LiveSection& section : all_fields(example(name))) {
      fields += section.fields.size();
      second = second || section.name == "fill-2";
      EXPECT_NE(section.name, "fill-3");
    }
    EXPECT_EQ(second, later);
    std::size_t keys = 0;
    for (const scenario::Key& key : scenario::keys()) {
      keys += !key.section.starts_with("fill-") || (later && key.section == "fill-2") ? 1 : 0;
    }
    EXPECT_EQ(fields, keys);
  }
}

TEST(Live, AChanceAboveTheAcceptedRiskIsSaidSo) {
  EXPECT_THAT(said(example("sedan.ini", {{"heel.indicated", "2 L"}})),
              HasSubstr("within the accepted risk"));
  const std::string missed = said(example("sedan.ini", {{"heel.indicated", "20 L"}}));
  EXPECT_THAT(missed, HasSubstr("more than the accepted risk"));
  EXPECT_THAT(missed, HasSubstr("class=\"warn\""));
}

TEST(Live, AFillThatIsDoneIsNoPlan) {
  const std::string done =
      said(example("sedan.ini", {{"fill.shown", "44 L"}, {"fill.stopped-by", "click-off"}}));
  EXPECT_THAT(done, HasSubstr("The fill is done"));
  EXPECT_THAT(done, Not(HasSubstr("Filled as planned")));
}

std::string legs(const scenario::Scenario& scenario) {
  const estimate::Options options{.threads = 1};
  estimate::ChanceResult result = tank::estimate_chance(scenario, options);
  result.between = tank::between_fills(scenario, options);
  return render::blocks(live_legs({scenario, options}, result), UnitSystem::metric);
}

TEST(Live, SeveralFillsHaveTheStepsBeforeTheLast) {
  const std::string two = legs(example("van-two-fills.ini"));
  EXPECT_THAT(two, HasSubstr("Before the last fill"));
  EXPECT_THAT(two, HasSubstr("<ol class=\"steps\">"));
  EXPECT_THAT(two, HasSubstr("data-source=\"chance/between/0/landed/quantiles/0.5\""));
  EXPECT_THAT(two, HasSubstr("old calibration until the next fill"));
  EXPECT_THAT(two, Not(HasSubstr("class=\"warn\"")));
  // What the first fill lands at fits neither calibration.
  const std::string neither = legs(example("van-two-fills.ini", {{"before.maximum", "20 %"}}));
  EXPECT_THAT(neither, HasSubstr("<p class=\"warn\">After fill 1"));
  EXPECT_EQ(legs(example("sedan.ini")), "");
  EXPECT_EQ(legs(example("van-two-fills.ini", {{"fill.shown", "45 L"},
                                               {"fill.stopped-by", "hand"},
                                               {"fill-2.shown", "50 L"},
                                               {"fill-2.stopped-by", "hand"}})),
            "");
}

TEST(ScenarioText, ReadsAsTheSameScenario) {
  for (const char* name : {"sedan.ini", "van-two-fills.ini", "van-one-supplier.ini"}) {
    SCOPED_TRACE(name);
    const scenario::Scenario once = example(name, {{"heel.gauge-error", "normal(0 L, 0.7 L)"}});
    const scenario::Scenario again = blendrisk::testing::scenario_of(scenario_text(once));
    ASSERT_EQ(once.given.size(), again.given.size());
    for (std::size_t i = 0; i < once.given.size(); ++i) {
      EXPECT_EQ(once.given[i].key, again.given[i].key);
      EXPECT_EQ(once.given[i].value, again.given[i].value);
      EXPECT_EQ(once.given[i].comment, again.given[i].comment);
    }
    EXPECT_EQ(said(once), said(again));
  }
}

}  // namespace
}  // namespace blendrisk::answer::live_test
