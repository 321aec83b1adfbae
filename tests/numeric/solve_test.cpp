#include "numeric/solve.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "numeric/round_step.hpp"

namespace blendrisk::numeric {
namespace {

double cube(double x) {
  return x * x * x - 27.0;
}

TEST(Solve, TheRootIsBracketedFromEitherSideAndNarrowed) {
  const auto close = [](double low, double high) { return high - low < 1e-9; };
  for (const double from : {-40.0, 2.9, 3.0, 500.0}) {
    const auto ends = bracketed(cube, from, from + 0.5, 0.25, -1e3, 1e3);
    ASSERT_TRUE(ends) << from;
    EXPECT_LE(ends->at_low, 0.0);
    EXPECT_GE(ends->at_high, 0.0);
    EXPECT_EQ(ends->at_low, cube(ends->low));
    EXPECT_EQ(ends->at_high, cube(ends->high));
    EXPECT_NEAR(root(cube, *ends, close, 100).middle(), 3.0, 1e-9) << from;
  }
}

TEST(Solve, NoRootWithinTheBoundsIsNone) {
  EXPECT_FALSE(bracketed(cube, 0.0, 1.0, 1.0, 0.0, 2.5));
  EXPECT_FALSE(bracketed(cube, 5.0, 6.0, 1.0, 4.0, 9.0));
  EXPECT_TRUE(bracketed(cube, 0.0, 1.0, 1.0, 0.0, 3.5));
}

TEST(Solve, TheFirstStepIsTheLeastThatDoesAndEndsAreNotLookedAt) {
  for (int first = 1; first <= 40; ++first) {
    int looks = 0;
    const int found = first_step(0, 40, [&](int step) {
      EXPECT_TRUE(step > 0 && step < 40) << step;
      ++looks;
      return step >= first;
    });
    EXPECT_EQ(found, first);
    EXPECT_LE(looks, 6);
  }
}

TEST(Solve, RoundStepsAreTheNextRoundNumber) {
  EXPECT_DOUBLE_EQ(round_step(0.13), 0.2);
  EXPECT_DOUBLE_EQ(round_step(0.2), 0.2);
  EXPECT_DOUBLE_EQ(round_step(6.0), 10.0);
  EXPECT_DOUBLE_EQ(round_step(2.2, {1.0, 2.0, 2.5, 5.0}), 2.5);
}

}  // namespace
}  // namespace blendrisk::numeric
