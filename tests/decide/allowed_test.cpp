#include "decide/allowed.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "decide/sweep.hpp"
#include "decide/variants.hpp"
#include "tank/chance.hpp"
#include "tests/random_plans.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::decide {
namespace {

using testing::scenario_of;

constexpr double k_step = 0.01;

/// Chances of one scenario at amounts, with points that no search has seen, held against the risk.
/// The search decides by an estimate of its own: both errors are in the bound, and beyond an end
/// 0.5 % of the risk too, to which the search knows where it is crossed. 5 errors are a false alarm
/// in 3 million looks, some 1000 of which are taken.
class Fresh {
 public:
  explicit Fresh(const scenario::Scenario& scenario)
      : scenario_(scenario), risk_(scenario.limits.accepted_risk) {
    fresh_ = for_solving({});
    fresh_.seed = 2;
    fresh_.threads = 1;
  }

  bool within(double amount_l) {
    const auto [chance, error] = look(amount_l);
    return chance <= risk_ + 5.0 * error;
  }
  bool beyond(double amount_l) {
    const auto [chance, error] = look(amount_l);
    return chance > risk_ * (1.0 - 5e-3) - 5.0 * error;
  }

 private:
  /// The search's estimate is as fine: twice the variance.
  std::pair<double, double> look(double amount_l) {
    put_amount(scenario_, amount_l);
    const auto fresh = tank::estimate_outside(scenario_, fresh_).estimate;
    return {fresh.chance, std::sqrt(2.0) * fresh.standard_error};
  }

  scenario::Scenario scenario_;
  double risk_;
  estimate::Options fresh_;
};

void expect_allowed(const scenario::Scenario& scenario, const AllowedAmounts& amounts) {
  Fresh fresh(scenario);
  const double end = amounts.largest.value_or(most_amount(scenario));
  for (const double share : {0.0, 0.5, 1.0}) {
    const double amount = amounts.least + share * (end - amounts.least);
    EXPECT_TRUE(fresh.within(amount)) << amount << " L is told as allowed";
  }
  if (amounts.least >= k_step) {
    EXPECT_TRUE(fresh.beyond(amounts.least - k_step)) << amounts.least << " L is not the least";
  }
  if (amounts.largest) {
    EXPECT_TRUE(fresh.beyond(end + k_step)) << end << " L is not the largest";
  }
  if (amounts.again_from) {
    EXPECT_GT(*amounts.again_from, end);
    EXPECT_TRUE(fresh.within(*amounts.again_from)) << *amounts.again_from << " L is told again";
    EXPECT_TRUE(fresh.beyond(*amounts.again_from - k_step));
  }
}

/// Both ends of the cell of a table, which searches with fewer points, and of `fill`, in turn.
std::optional<AllowedAmounts> told(const scenario::Scenario& scenario, bool by_table) {
  estimate::Options options;
  options.threads = 1;
  if (!by_table) return AmountSearch(scenario, options, k_step).allowed();
  const Cell cell = swept(scenario, {Show::amount, k_step}, options);
  if (!cell.litres) return {};
  return AllowedAmounts{*cell.litres, cell.other_end_l, cell.again_from_l};
}

TEST(Allowed, EveryAmountOfRandomPlansIsWithinTheRiskAndNoneBeyondSlow) {
  testing::RandomPlans plans(20);
  int found = 0;
  int both_ends = 0;
  for (int drawn = 0; found < 200 && drawn < 2000; ++drawn) {
    const std::string text = plans.next(testing::Limits::both);
    const scenario::Scenario scenario = scenario_of(text);
    const auto amounts = told(scenario, found % 2 == 0);
    if (!amounts) continue;
    ++found;
    if (amounts->least > 0.0 && amounts->largest) ++both_ends;
    SCOPED_TRACE(text);
    expect_allowed(scenario, *amounts);
  }
  EXPECT_EQ(found, 200);
  EXPECT_GT(both_ends, 100);
}

// The check has to see an end that is a little too far: half a litre is more than any error here.
TEST(Allowed, TheCheckOfRandomPlansSeesWrongEnds) {
  testing::RandomPlans plans(20);
  int seen = 0;
  int looked = 0;
  while (looked < 10) {
    const scenario::Scenario scenario = scenario_of(plans.next(testing::Limits::both));
    const auto amounts = told(scenario, false);
    if (!amounts || !amounts->largest || amounts->least < 1.0) continue;
    ++looked;
    Fresh fresh(scenario);
    const double inside =
        amounts->least + std::min(0.5, 0.5 * (*amounts->largest - amounts->least));
    if (!fresh.within(amounts->least - 0.5) && !fresh.within(*amounts->largest + 0.5)) ++seen;
    if (fresh.beyond(inside)) --seen;
  }
  EXPECT_GE(seen, 8);
}

// By hand, all exact: 6 L of 10 % with 80 % land between 65 and 70 % from 6 · 0.55/0.15 = 22 L to
// 6 · 0.6/0.1 = 36 L.
TEST(Allowed, BothEndsByHand) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
      "[fuel]\ncontent = 80 %\n[limits]\nminimum = 65 %\nmaximum = 70 %\n");
  const auto amounts = AmountSearch(scenario, {}, k_step).allowed();
  ASSERT_TRUE(amounts && amounts->largest);
  EXPECT_NEAR(amounts->least, 22.0, 1e-9);
  EXPECT_NEAR(*amounts->largest, 36.0, 1e-9);
  EXPECT_FALSE(amounts->again_from);
}

// 6 L of 64 % are within 63 to 67 % as they are; a hose of 1 L at 10 % takes that away as soon as
// 6 · 1 %/(63 % − 10 %) = 0.1132 L have come, and 80 % fuel brings it back: 6 · 64 % + 10 % +
// 80 % · x = 63 % · (7 + x) at x = (63 % · 7 − 384 % − 10 %)/17 % = 2.7647 L after the hose's 1 L,
// until 67 % at (67 % · 7 − 394 %)/13 % + 1 = 6.7692 L.
TEST(Allowed, SeparateRangesAreTold) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 64 %\n[fuel]\ncontent = 80 %\n"
      "hose-volume = 1 L\nhose-content = 10 %\n[limits]\nminimum = 63 %\nmaximum = 67 %\n");
  const auto amounts = AmountSearch(scenario, {}, k_step).allowed();
  ASSERT_TRUE(amounts && amounts->largest && amounts->again_from);
  EXPECT_EQ(amounts->least, 0.0);
  EXPECT_NEAR(*amounts->largest, 0.11, 1e-9);
  EXPECT_NEAR(*amounts->again_from, 3.77, 1e-9);
  const Cell cell = swept(scenario, {Show::amount, k_step}, {});
  EXPECT_EQ(cell.litres, amounts->least);
  EXPECT_EQ(cell.other_end_l, amounts->largest);
  EXPECT_EQ(cell.again_from_l, amounts->again_from);
}

// 19 L of 75 % with 5 % fuel, 15 to 45 %: readings of 60/7 to 240/7 L, see the test of the window.
TEST(Allowed, ATableTellsTheLowestReadingToo) {
  const auto scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 15 L\ncontent = 75 %\n[fuel]\ncontent = 5 %\n"
      "[limits]\nminimum = 15 %\nmaximum = 45 %\n");
  const Cell cell = swept(scenario, {Show::heel, 0.1}, {});
  EXPECT_NEAR(*cell.litres, 34.2, 1e-9);
  EXPECT_NEAR(*cell.other_end_l, 8.6, 1e-9);
}

}  // namespace
}  // namespace blendrisk::decide
