#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include "answer/guide.hpp"
#include "answer/plain_text.hpp"
#include "answer/shared.hpp"
#include "render/page.hpp"
#include "tests/scenarios.hpp"

// What the guide says of plans of several fills.
namespace blendrisk::answer {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

constexpr UnitSystem k_metric = UnitSystem::metric;

/// Words of the guide's page up to the assumptions.
std::string guide_of(const std::vector<scenario::Override>& overrides,
                     const std::string& name = "van-two-fills.ini") {
  const auto scenario = blendrisk::testing::example(name, overrides);
  estimate::Options options;
  options.cases = std::uint64_t{1} << 14U;
  const decide::Guide guide =
      decide::make_guide(scenario, options, {dispenser_step(k_metric), gauge_step(k_metric), 0.01});
  const std::string page =
      render::page(answer::page({scenario, options, k_metric}, guide, {}, {}), k_metric);
  const std::string body = page.substr(page.find("<main>"));
  const std::string words =
      std::regex_replace(body.substr(0, body.find("<section aria-labelledby=\"assumed\">")),
                         std::regex("<[^>]*>"), "");
  return std::regex_replace(words, std::regex("\\s+"), " ");
}

/// In this order.
void expect_in_order(const std::string& text, const std::vector<std::string>& parts) {
  std::size_t at = 0;
  for (const std::string& part : parts) {
    const auto next = text.find(part, at);
    ASSERT_NE(next, std::string::npos) << part << "\n" << text;
    at = next;
  }
}

TEST(GuideOfSeveralFills, TellsThePlanLegByLeg) {
  expect_in_order(guide_of({{"before.maximum", "58 %"}}),
                  {"Do not switch the engine's calibration before the last step",
                   "Run the tank down to 25.0 L as the gauge shows it, neither more nor less.",
                   "Fill 1 of 2. Put in 45.00 L by the dispenser's display.",
                   "The tank then holds about 51.9 %", "Stay on the old calibration until the next",
                   "it bears at most 58 %", "Drive until about 52 L have been burned: 48.2 L",
                   "Fill 2 of 2. Fill up until the nozzle clicks off",
                   "The chance of landing outside the limits is then 0.08",
                   "Wait until the new fuel has pushed", "Only then switch the calibration."});
  expect_in_order(
      guide_of({{"before.maximum", "58 %"}, {"fill-2.indicated", "18 L"}}),
      {"Fill 1 of 2.", "Run the tank down to 18.0 L as the gauge shows", "Fill 2 of 2."});
}

TEST(GuideOfSeveralFills, SaysWhoToAskWhereTheOldBandIsNotGiven) {
  const std::string words = guide_of({}, "van-one-supplier.ini");
  EXPECT_THAT(words, HasSubstr("Ask the maker of the old calibration whether it bears that"));
}

TEST(GuideOfSeveralFills, IsNoPlanWhereNeitherFits) {
  const std::string words = guide_of({{"before.maximum", "50 %"}});
  expect_in_order(words,
                  {"Do not switch under this plan.", "After fill 1 the tank holds about 51.9 %",
                   "neither calibration fits within the accepted risk",
                   "Do not drive to the next fill on that fuel."});
  EXPECT_THAT(words, Not(HasSubstr("Fill 1 of 2")));
}

TEST(GuideOfSeveralFills, SwitchesOnTheWayWhereOnlyTheNewOneFits) {
  const std::string words = guide_of({{"before.maximum", "40 %"}, {"limits.minimum", "46 %"}});
  expect_in_order(words, {"before the step that says so", "Fill 1 of 2.",
                          "Switch the calibration before you drive on:", "Fill 2 of 2.",
                          "The engine is on the new calibration already: stay on it."});
  EXPECT_THAT(words, Not(HasSubstr("still on the old calibration")));
  EXPECT_THAT(words, Not(HasSubstr("Only then switch")));
}

}  // namespace
}  // namespace blendrisk::answer
