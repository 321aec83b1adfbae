#include "answer/between_fills.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "answer/words.hpp"
#include "tests/answer/results.hpp"
#include "tests/answer/told.hpp"

namespace blendrisk::answer {
namespace {

using estimate::Fits;
using testing::estimate_of;
using ::testing::HasSubstr;
using ::testing::Not;

scenario::Scenario three_fills() {
  scenario::Scenario scenario = testing::sedan();
  scenario.fills.resize(3);
  scenario.before.maximum = 0.4;
  return scenario;
}

estimate::Leg leg_of(std::optional<Fits> fits) {
  estimate::Leg leg;
  leg.landed = testing::sedan_result().landed;
  leg.limits = {estimate_of(0.25, 0.001), {}, estimate_of(0.25, 0.001), false};
  if (fits) leg.before = {{}, estimate_of(0.125, 0.001), estimate_of(0.125, 0.001), false};
  leg.fits = fits;
  return leg;
}

std::string told(const std::vector<estimate::Leg>& legs) {
  estimate::ChanceResult result = testing::sedan_result();
  result.between = legs;
  return testing::text_of(three_fills(), result, {});
}

TEST(BetweenFillsText, TellsBothBandsAndWhatFits) {
  const std::string text = told({leg_of(Fits::old_one), leg_of(Fits::neither)});
  EXPECT_THAT(text, HasSubstr("Between the fills (the old calibration bears at most 40 %)"));
  EXPECT_THAT(text, HasSubstr("  content after fill 2         73.6 % (95 %: 66.1 % to 78.9 %)\n"));
  EXPECT_THAT(text, HasSubstr("  outside the limits then      25.0 %"));
  EXPECT_THAT(text, HasSubstr("  outside what the old bears   12.5 %"));
  EXPECT_THAT(text, HasSubstr("  fits until the next fill     the old calibration\n"));
  EXPECT_THAT(text, HasSubstr("  fits until the next fill     neither calibration\n"));
  EXPECT_THAT(text, HasSubstr("After fill 2 neither calibration fits"));
  EXPECT_THAT(text, Not(HasSubstr("After fill 1")));
  EXPECT_THAT(told({leg_of(Fits::new_one)}),
              HasSubstr("After fill 1 only the new calibration fits"));
  EXPECT_THAT(told({leg_of(Fits::both)}), HasSubstr("    either calibration\n"));
}

TEST(BetweenFillsText, WithoutTheOldBandOnlyTheLimitsAreTold) {
  const std::string text = told({leg_of({})});
  EXPECT_THAT(text, HasSubstr("Between the fills\n"));
  EXPECT_THAT(text, HasSubstr("outside the limits then"));
  EXPECT_THAT(text, Not(HasSubstr("fits until")));
}

TEST(BetweenFillsText, TheAdviceOfTwoFillsTellsWhatIsHeld) {
  decide::FillResult result;
  result.instead.emplace();
  result.instead->second_heel_l = 12.3;
  result.instead->between = {leg_of(Fits::new_one)};
  const auto said = [&] {
    std::string text = testing::text_of(testing::sedan(), result, {});
    for (auto at = text.find("\n"); at != std::string::npos; at = text.find("\n", at)) {
      text.replace(at, text.find_first_not_of(" \n", at) - at, " ");
    }
    return text;
  };
  EXPECT_THAT(said(), HasSubstr("Until the second fill the tank holds about 73.6 %; the chance of "
                                "fuel outside the limits is then 25.0 %. Outside what "
                                "the old calibration bears it is 12.5 %: the new "
                                "calibration fits."));
  result.instead->between = {leg_of({})};
  EXPECT_THAT(said(), HasSubstr("Whether the old calibration bears that is for its maker to say."));
}

TEST(BetweenFillsJson, NamesWhatFitsOrSaysWhyNot) {
  for (const auto& [fits, word] : {std::pair{Fits::both, "both"},
                                   {Fits::old_one, "old"},
                                   {Fits::new_one, "new"},
                                   {Fits::neither, "neither"}}) {
    const Json leg = between_members(three_fills(), {leg_of(fits)}).at(0);
    EXPECT_EQ(leg.at("calibration"), word);
    EXPECT_EQ(leg.at("after_fill"), 1);
    EXPECT_EQ(leg.at("before").at("outside").at("chance"), 0.125);
    EXPECT_EQ(leg.at("before").at("above_maximum").at("limit"), 0.4);
    EXPECT_EQ(leg.at("before").at("below_minimum_reason"), "the scenario has no before.minimum");
    EXPECT_EQ(leg.at("below_minimum").at("limit"), 0.625);
  }
  scenario::Scenario without = three_fills();
  without.before = {};
  const Json leg = between_members(without, {leg_of({})}).at(0);
  EXPECT_TRUE(leg.at("calibration").is_null());
  EXPECT_EQ(leg.at("before_reason"), "none.before"_w);
}

}  // namespace
}  // namespace blendrisk::answer
