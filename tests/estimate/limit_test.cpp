#include "estimate/limit.hpp"

#include <gtest/gtest.h>

namespace blendrisk::estimate {
namespace {

TEST(Limit, WhatEqualsALimitMeetsItAndWhatIsBeyondMissesIt) {
  const Limit least{Side::below, 0.62};
  const Limit most{Side::above, 0.85};
  EXPECT_TRUE(least.missed_by(0.61));
  EXPECT_FALSE(least.missed_by(0.62));
  EXPECT_FALSE(least.missed_by(0.62 - 1e-13));
  EXPECT_TRUE(most.missed_by(0.86));
  EXPECT_FALSE(most.missed_by(0.85 + 1e-13));
  EXPECT_NEAR(least.beyond(0.60), 0.02, 1e-11);
  EXPECT_NEAR(most.beyond(0.60), -0.25, 1e-11);
}

TEST(Limit, ThoseOfAScenarioBeginWithTheMinimum) {
  scenario::Limits limits;
  EXPECT_TRUE(limits_of(limits).empty());
  limits.maximum = 0.85;
  ASSERT_EQ(limits_of(limits).size(), 1U);
  EXPECT_FALSE(limits_of(limits)[0].below());
  limits.minimum = 0.62;
  ASSERT_EQ(limits_of(limits).size(), 2U);
  EXPECT_TRUE(limits_of(limits)[0].below());
  EXPECT_EQ(limits_of(limits)[1].value, 0.85);
}

}  // namespace
}  // namespace blendrisk::estimate
