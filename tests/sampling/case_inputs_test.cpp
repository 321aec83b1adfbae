#include "sampling/case_inputs.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/scenarios.hpp"

namespace blendrisk::sampling {
namespace {

constexpr const char* k_two_fills =
    "[tank]\ncapacity = 60 L\nclick-off = normal(60 L, 1 L)\n"
    "[heel]\nindicated = 6 L\ngauge-error = normal(0 L, 1 L)\nreading = 20 %\n"
    "[sensor]\nbias = normal(0 %, 2 %)\n"
    "[fuel]\ncontent = normal(80 %, 3 %)\nmeter-error = normal(0 %, 1 %)\n"
    "[fill-2]\ncontent = uniform(70 %, 80 %)\nburn-first = normal(10 L, 8 L)\n"
    "hose-volume = uniform(0 L, 1 L)\nhose-content = uniform(0 %, 10 %)\n"
    "meter-error = normal(0 %, 1 %)\namount = 20 L\n"
    "[limits]\nminimum = 60 %\n";

TEST(CaseInputs, HaveTheKeysOfTheScenario) {
  const auto scenario = testing::scenario_of(k_two_fills);
  const CaseInputs inputs(scenario);
  EXPECT_EQ(inputs.size(), 15U);
  EXPECT_EQ(inputs.key(Slot::click_off), "tank.click-off");
  EXPECT_EQ(inputs.key(Slot::old_fuel), "sensor.bias");
  EXPECT_EQ(inputs.key(Slot::hose_content(0)), "fuel.hose-content");
  EXPECT_EQ(inputs.key(Slot::burned(1)), "fill-2.burn-first");
}

// Left out: exact inputs, and the meter of a fill to click-off, which changes nothing.
TEST(CaseInputs, OnlyWhatIsUncertainAndMattersIsDrawn) {
  const auto scenario = testing::scenario_of(k_two_fills);
  const CaseInputs inputs(scenario);
  EXPECT_THAT(inputs.uncertain(Slot::content(1)),
              ::testing::ElementsAre(Slot::click_off, Slot::gauge_error, Slot::old_fuel,
                                     Slot::content(0), Slot::meter_error(1), Slot::hose_volume(1),
                                     Slot::hose_content(1), Slot::burned(1)));
}

// P(N(80, 3) > 100) = Φ(−20/3), P(N(10 L, 8 L) < 0) = Φ(−1.25) = 0.1056 (computed: Python).
TEST(CaseInputs, DrawsAreHeldWithinThePhysicalRange) {
  const auto scenario = testing::scenario_of(k_two_fills);
  const CaseInputs inputs(scenario);
  EXPECT_NEAR(inputs.clamped_share(Slot::burned(1)), 0.10565, 1e-5);
  EXPECT_LT(inputs.clamped_share(Slot::content(0)), 1e-10);
  EXPECT_GT(inputs.clamped_share(Slot::content(0)), 0.0);
  EXPECT_EQ(inputs.clamped_share(Slot::content(1)), 0.0);
  // The heel below empty, Φ(−6); the old fuel by a reading of 20 % with a bias beyond 10 sd.
  EXPECT_NEAR(inputs.clamped_share(Slot::gauge_error) / 9.865876e-10, 1.0, 1e-6);
  EXPECT_LT(inputs.clamped_share(Slot::old_fuel), 1e-22);
  CaseBatch batch(inputs, 3);
  const double draws[] = {-0.5, 0.5, 1.5};
  std::copy_n(draws, 3, batch.column(Slot::content(0)));
  batch.hold(inputs[Slot::content(0)], Slot::content(0), 3);
  EXPECT_EQ(batch.column(Slot::content(0))[0], 0.0);
  EXPECT_EQ(batch.column(Slot::content(0))[1], 0.5);
  EXPECT_EQ(batch.column(Slot::content(0))[2], 1.0);
}

TEST(CaseInputs, ABatchStartsWithExactValuesAndMedians) {
  const auto scenario = testing::scenario_of(k_two_fills);
  const CaseInputs inputs(scenario);
  const CaseBatch batch(inputs, 2);
  EXPECT_EQ(batch.column(Slot::hose_content(0))[1], 0.10);
  EXPECT_NEAR(batch.column(Slot::content(1))[1], 0.75, 1e-12);
}

}  // namespace
}  // namespace blendrisk::sampling
