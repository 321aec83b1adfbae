#include "decide/sweep.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <stdexcept>
#include <string>
#include <utility>

#include "decide/fill.hpp"
#include "decide/heel.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::decide {
namespace {

scenario::Scenario cell_of(std::size_t i) {
  const std::string reading = std::to_string(2 + i / 3) + " L";
  const std::string content = std::to_string(74 + 3 * (i % 3)) + " %";
  return testing::example("sedan.ini", {{"limits.minimum", "60 %"},
                                        {"heel.indicated", reading, true},
                                        {"fuel.content", content, true}});
}

const CellProgress k_go_on = [](std::size_t, std::size_t) { return true; };

std::vector<Cell> cells(std::size_t from, std::size_t to, Show show, unsigned threads) {
  estimate::Options options;
  options.threads = threads;
  return swept(from, to, cell_of, {show, show == Show::heel ? 0.1 : 0.01}, options, k_go_on);
}

// A table's search takes fewer points: amounts agree to some tenths of a percent of the chance,
// here half a percent of the amount.
TEST(Table, CellsAreTheAnswersOfTheCommands) {
  const auto amounts = cells(0, 6, Show::amount, 1);
  const auto heels = cells(0, 6, Show::heel, 1);
  const auto chances = cells(0, 6, Show::chance, 1);
  int solved = 0;
  for (std::size_t i = 0; i < 6; ++i) {
    const auto fill = solve_fill(cell_of(i), {}, 0.01, 0.1);
    ASSERT_EQ(amounts[i].litres.has_value(), fill.safe_amount_l.has_value()) << i;
    if (fill.safe_amount_l) {
      EXPECT_NEAR(*amounts[i].litres, *fill.safe_amount_l, 0.005 * *fill.safe_amount_l) << i;
      ++solved;
    }
    const auto heel = solve_heel(cell_of(i), {}, 0.1);
    ASSERT_EQ(heels[i].litres.has_value(), heel.highest_indicated_l.has_value()) << i;
    if (heel.highest_indicated_l) {
      EXPECT_NEAR(*heels[i].litres, *heel.highest_indicated_l, 0.101) << i;
    }
    const auto outside = tank::estimate_outside(cell_of(i), {}).estimate;
    EXPECT_EQ(chances[i].chance->chance, outside.chance) << i;
  }
  EXPECT_GT(solved, 2);
}

// At 14 L and 63 % the chance falls to 1.014 % and no further, and the few points of a table's
// search see 0.99 %: the cell must be empty. Amounts of the others keep the risk as another seed
// sees it; 5 errors are a false alarm in 3 million cells.
TEST(Table, AmountsKeepTheRisk) {
  const std::set<std::pair<std::string, std::string>> k_none{
      {"14 L", "63 %"}, {"18 L", "60 %"}, {"18 L", "63 %"}};
  int solved = 0;
  for (const char* indicated : {"6 L", "10 L", "14 L", "18 L"}) {
    for (const char* minimum : {"57 %", "60 %", "63 %"}) {
      std::vector<scenario::Override> keys{{"heel.indicated", indicated},
                                           {"limits.minimum", minimum}};
      const auto amount =
          swept(testing::example("wagon-reading.ini", keys), {Show::amount, 0.01}, {}).litres;
      const bool none = k_none.contains({indicated, minimum});
      EXPECT_EQ(!amount, none) << indicated << " " << minimum;
      if (!amount) continue;
      ++solved;
      keys.push_back({"fill.amount", std::to_string(*amount) + " L"});
      estimate::Options options;
      options.seed = 2;
      options.precision = 1e-3;
      const auto outside =
          tank::estimate_outside(testing::example("wagon-reading.ini", keys), options).estimate;
      EXPECT_LE(outside.chance, 0.01 + 5.0 * std::hypot(0.01 * 0.01, outside.standard_error))
          << indicated << " " << minimum;
    }
  }
  EXPECT_EQ(solved, 9);
}

TEST(Table, AreTheSameInPartsAndOnThreads) {
  const auto whole = cells(0, 9, Show::amount, 1);
  const auto threads = cells(0, 9, Show::amount, 3);
  const auto first = cells(0, 4, Show::amount, 2);
  const auto second = cells(4, 9, Show::amount, 1);
  for (std::size_t i = 0; i < 9; ++i) {
    EXPECT_EQ(whole[i].litres, threads[i].litres);
    EXPECT_EQ(whole[i].litres, i < 4 ? first[i].litres : second[i - 4].litres);
  }
}

TEST(Table, GivesUpWhenTold) {
  const auto none = swept(0, 9, cell_of, {}, {}, [](std::size_t, std::size_t) { return false; });
  EXPECT_TRUE(none.empty());
}

TEST(Table, ErrorsOfACellAreThrownOn) {
  const CellScenario bad = [](std::size_t i) -> scenario::Scenario {
    if (i == 5) throw std::runtime_error("cell 5");
    return cell_of(i);
  };
  estimate::Options options;
  options.threads = 2;
  EXPECT_THROW(swept(0, 9, bad, {}, options, k_go_on), std::runtime_error);
}

}  // namespace
}  // namespace blendrisk::decide
