#include "answer/shared.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "answer/plain_text.hpp"
#include "tests/answer/results.hpp"
#include "tests/answer/told.hpp"

// What fill and heel advise, from results made by hand.
namespace blendrisk::answer {
namespace {

using testing::sedan;
using testing::sedan_result;

bool holds(const std::string& text, std::string_view part) {
  return cleaned(text).find(part) != std::string::npos;
}

constexpr std::string_view k_far =
    "Another fuel, or other limits: with these it is far from enough.";
constexpr std::string_view k_stalls =
    "Running dry stalls the engine, maybe in traffic, and the help "
    "to steer and brake goes with it; an electric pump in the "
    "tank is cooled by its fuel and may be damaged.";

decide::FillResult without_amount() {
  decide::FillResult result;
  result.room_l = 49.0;
  result.instead.emplace();
  result.instead->least_chance = 0.93;
  result.instead->least_at_l = 60.0;
  return result;
}

std::string fill_of(const decide::FillResult& result) {
  return testing::text_of(sedan(), result, {}, UnitSystem::metric);
}

// The lowest chance is beyond what anyone may accept, and two ways would do.
TEST(Advice, FarFromEnoughIsSaidOnlyWhereNothingWouldDo) {
  decide::FillResult result = without_amount();
  EXPECT_TRUE(holds(fill_of(result), k_far));
  result.instead->second_heel_l = 12.3;
  EXPECT_FALSE(holds(fill_of(result), k_far));
  EXPECT_TRUE(holds(fill_of(result), "drive down to 12.3 L indicated or less"));
  result.instead->second_heel_l.reset();
  result.instead->tested_content = 0.7333;
  EXPECT_FALSE(holds(fill_of(result), k_far));
  result.instead->tested_content.reset();
  result.instead->least_chance = 0.15;
  EXPECT_FALSE(holds(fill_of(result), k_far));
  EXPECT_TRUE(holds(fill_of(result), "Accept a risk of 15.00 %"));
}

TEST(Advice, RunningTheTankDownTellsItsChanceOfRunningDryAndWhatThatDoes) {
  decide::FillResult result = without_amount();
  result.instead->highest_heel_l = 3.5;
  result.instead->dry_risk_at_highest = 0.004;
  EXPECT_TRUE(holds(fill_of(result), "Run the tank down to 3.5 L indicated"));
  EXPECT_TRUE(holds(fill_of(result),
                    "running it dry is then 0.4000 % (1 in 250), within the dry "
                    "risk of 1 %."));
  EXPECT_FALSE(holds(fill_of(result), k_stalls));
  result.instead->dry_risk_at_highest = 0.03;
  EXPECT_TRUE(holds(fill_of(result), "more than the dry risk of 1 %. " + std::string(k_stalls)));
  const auto object = nlohmann::json::parse(testing::json_of(sedan(), result, {}, 0.5));
  EXPECT_EQ(object["instead"]["dry_risk_at_highest"], 0.03);
  // As good as certain to run dry is no way at all.
  result.instead->dry_risk_at_highest = 0.6;
  EXPECT_FALSE(holds(fill_of(result), "Run the tank down"));
  EXPECT_TRUE(holds(fill_of(result), k_far));
}

TEST(Advice, TwoFillsSayWhatIsNotToldOfTheTankBetween) {
  decide::FillResult result = without_amount();
  result.instead->second_heel_l = 12.3;
  const std::string between =
      "What the tank holds between the fills, and which calibration bears "
      "it, this answer does not tell: `chance` for the first fill alone";
  EXPECT_TRUE(holds(fill_of(result), between));
  decide::HeelResult heel;
  heel.why_none = decide::NoWindow::outside;
  heel.lowest_indicated_l = 3.9;
  heel.second_highest_l = 40.0;
  EXPECT_TRUE(holds(testing::text_of(sedan(), heel, {}, UnitSystem::metric), between));
  scenario::Scenario two = sedan();
  two.fills.resize(2);
  EXPECT_TRUE(holds(testing::text_of(two, heel, {}, UnitSystem::metric),
                    "bears it, this answer does not tell: `chance` does, from the reading"));
  // With two limits a lower reading may miss the other.
  scenario::Scenario both = sedan();
  both.limits.maximum = 0.8;
  EXPECT_TRUE(holds(testing::text_of(both, result, {}, UnitSystem::metric),
                    "to 12.3 L indicated, and fill"));
}

decide::FillResult with_amounts() {
  decide::FillResult result;
  result.nominal_amount_l = 24.04;
  result.safe_amount_l = 18.87;
  result.margin_l = -5.17;
  result.margin_cost = -4.7;
  result.room_l = 49.0;
  result.at_safe = sedan_result();
  return result;
}

TEST(Advice, BothEndsOfTheAmountsAreTold) {
  decide::FillResult result = with_amounts();
  EXPECT_TRUE(holds(fill_of(result), "PUT IN 18.87 L as the dispenser shows it"));
  result.largest_amount_l = 22.52;
  EXPECT_TRUE(holds(fill_of(result), "PUT IN 18.87 to 22.52 L as the dispenser shows it"));
  EXPECT_TRUE(holds(fill_of(result), "More than that is not."));
  result.again_from_l = 33.0;
  EXPECT_TRUE(holds(fill_of(result),
                    "until from 33.00 L on the risk is met again: of these "
                    "separate ranges, the one with the least fuel is advised."));
  result.safe_amount_l = 0.0;
  EXPECT_TRUE(holds(fill_of(result),
                    "Up to 22.52 L is within it, too. More than that is not, until "
                    "from 33.00 L on"));
}

TEST(Advice, AMarginBelowNothingIsLess) {
  const std::string text = fill_of(with_amounts());
  EXPECT_TRUE(holds(text, "5.17 L less than the arithmetic says")) << text;
  EXPECT_TRUE(holds(text, "-5.17 L, saves 4.70 at the price given"));
  EXPECT_EQ(shown(margin("fill.margin", 5.17, UnitSystem::metric)),
            "5.17 L more than the arithmetic says.");
  EXPECT_EQ(shown(margin("fill.margin", -5.17, UnitSystem::metric)),
            "5.17 L less than the arithmetic says.");
  EXPECT_EQ(shown(margin("fill.margin", -1e-9, UnitSystem::metric)),
            "just what the arithmetic says.");
}

TEST(Advice, ATankThatRunsDryTooOftenIsToldWithTheAmount) {
  decide::FillResult result = with_amounts();
  EXPECT_FALSE(holds(fill_of(result), "RUNS DRY TOO OFTEN"));
  result.at_safe->dry_met = false;
  EXPECT_TRUE(holds(fill_of(result), "RUNS DRY TOO OFTEN"));
  EXPECT_TRUE(holds(fill_of(result), k_stalls));
}

decide::HeelResult without_window() {
  decide::HeelResult result;
  result.why_none = decide::NoWindow::apart;
  result.highest_indicated_l = 3.5;
  result.lowest_indicated_l = 3.9;
  result.risk_at_lowest = 0.5;
  result.dry_risk_at_highest = 0.023;
  return result;
}

TEST(Advice, AcceptingAChanceOfRunningDryIsOfferedWithWhatItDoes) {
  decide::HeelResult result = without_window();
  const auto text = [&] { return testing::text_of(sedan(), result, {}, UnitSystem::metric); };
  EXPECT_TRUE(holds(text(),
                    "Accept a chance of running dry of 2.3 % in place of 1 %: then 3.5 L "
                    "indicated does. " +
                        std::string(k_stalls)));
  EXPECT_FALSE(holds(text(), k_far));
  result.dry_risk_at_highest = 0.6;
  EXPECT_FALSE(holds(text(), "Accept"));
  EXPECT_TRUE(holds(text(), k_far)) << text();
  // Nothing is known better where nothing is uncertain.
  EXPECT_FALSE(holds(text(), "Know the inputs better"));
  result.window_at_means = true;
  EXPECT_TRUE(holds(text(), "Know the inputs better"));
  EXPECT_FALSE(holds(text(), k_far));
}

TEST(Advice, AWindowOfOneReadingIsNeitherMoreNorLess) {
  decide::HeelResult result;
  result.highest_indicated_l = result.lowest_indicated_l = 5.3;
  result.window = {5.3, 5.3};
  result.at_highest = sedan_result();
  scenario::Scenario scenario = sedan();
  scenario.heel.indicated_l = 2.0;
  const std::string text = testing::text_of(scenario, result, {}, UnitSystem::metric);
  EXPECT_TRUE(holds(text, "RUN DOWN TO 5.3 L indicated, neither more nor less."));
  EXPECT_TRUE(holds(text, "It shows 2.0 L now, which is less than that already."));
}

}  // namespace
}  // namespace blendrisk::answer
