#include "tank/landed_sample.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "tank/condition.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::tank {
namespace {

// Points that are there stay, and each scrambling's are its own.
TEST(LandedSample, GrowsByTheSamePoints) {
  const scenario::Scenario scenario = testing::example("hatchback-metered.ini");
  const sampling::CaseInputs inputs(scenario);
  const auto conditioned = condition_of(inputs).content;
  ASSERT_TRUE(conditioned);
  LandedSample slowly(inputs, conditioned, 3);
  slowly.grow(1);
  const std::vector<double> first = slowly.content;
  ASSERT_EQ(first.size(), LandedSample::k_scramblings * LandedSample::k_batch);
  slowly.grow(4);
  LandedSample at_once(inputs, conditioned, 3);
  at_once.grow(4);
  EXPECT_EQ(slowly.content, at_once.content);
  EXPECT_EQ(slowly.a, at_once.a);
  EXPECT_TRUE(std::equal(first.begin(), first.end(), at_once.content.begin()));
  double sum = 0.0;
  for (std::size_t r = 0; r < LandedSample::k_scramblings; ++r) sum += at_once.sum_of(at_once.b, r);
  EXPECT_NEAR(sum, std::accumulate(at_once.b.begin(), at_once.b.end(), 0.0), 1e-9 * sum);
}

// A point lies on its line: the same contents as where every input is drawn and none conditioned
// on, which for these is drawn from the same points; the wrong line would not tell them.
TEST(LandedSample, PointsLieOnTheirLines) {
  for (const char* name : {"sedan.ini", "hatchback-metered.ini", "wagon-reading.ini"}) {
    const scenario::Scenario scenario = testing::example(name);
    const sampling::CaseInputs inputs(scenario);
    const auto conditioned = condition_of(inputs).content;
    ASSERT_TRUE(conditioned) << name;
    LandedSample lines(inputs, conditioned, 5);
    lines.grow(1);
    LandedSample drawn(inputs, {}, 5);
    drawn.grow(1);
    double least = 1.0;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      ASSERT_NEAR(lines.content[i], drawn.content[i], 1e-12) << name;
      least = std::min(least, std::abs(lines.a[i] - drawn.content[i]));
    }
    EXPECT_GT(least, 1e-6) << name;
  }
}

}  // namespace
}  // namespace blendrisk::tank
