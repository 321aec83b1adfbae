#include "sampling/question.hpp"

#include <gtest/gtest.h>

#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::sampling {
namespace {

// Bit for bit the chances of a scenario that was read with the number.
TEST(Question, ANumberThatIsSetGivesTheChancesOfAScenarioReadWithIt) {
  Question question(testing::example("sedan.ini", {{"fill.amount", "20 L"}}));
  for (const char* amount : {"35 L", "41 L"}) {
    for (const char* indicated : {"3 L", "9 L"}) {
      const auto fresh =
          testing::example("sedan.ini", {{"fill.amount", amount}, {"heel.indicated", indicated}});
      question.numbers().fills.back().amount_l = fresh.fills.back().amount_l;
      question.numbers().heel.indicated_l = fresh.heel.indicated_l;
      EXPECT_EQ(tank::estimate_outside(question.inputs(), {}).estimate.chance,
                tank::estimate_outside(fresh, {}).estimate.chance)
          << amount << " " << indicated;
      EXPECT_EQ(tank::estimate_run_dry(question.inputs(), {}).chance,
                tank::estimate_run_dry(fresh, {}).chance)
          << amount << " " << indicated;
    }
  }
}

}  // namespace
}  // namespace blendrisk::sampling
