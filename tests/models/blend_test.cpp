#include "models/blend.hpp"

#include <gtest/gtest.h>

#include <Eigen/Core>
#include <limits>
#include <random>
#include <vector>

#include "models/blend_batch.hpp"
#include "models/columns.hpp"

namespace blendrisk::models {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();

double landed(const FillParts<double>& parts, double heel, double hose, double fresh) {
  return mixed_content(parts, heel, hose, fresh);
}

// Every balance below is worked by hand, volume by volume.

TEST(Blend, FillToClickOff) {
  // 6 L of 30 %, 1 L of 10 % from the hose, 53 L of 80 %: (1.8 + 0.1 + 42.4) L in 60 L.
  const auto parts = fill_parts(6.0, k_infinity, 1.0, 60.0);
  EXPECT_DOUBLE_EQ(parts.total_l, 60.0);
  EXPECT_NEAR(landed(parts, 0.30, 0.10, 0.80), 44.3 / 60.0, 1e-15);
}

TEST(Blend, MeteredFillWithAMeterThatGivesMore) {
  // 40 L shown at +0.5 % are 40.2 L: 8 L of 10 % and 40.2 L of 75 %: (0.8 + 30.15) L in 48.2 L.
  const auto parts = fill_parts(8.0, 40.0 * 1.005, 0.0, 60.0);
  EXPECT_NEAR(parts.total_l, 48.2, 1e-12);
  EXPECT_NEAR(landed(parts, 0.10, 0.0, 0.75), 30.95 / 48.2, 1e-15);
  EXPECT_NEAR(parts.short_l, 40.2 - 52.0, 1e-12);
}

TEST(Blend, NozzleClicksOffBeforeAMeteredFillIsDone) {
  // 55 L ordered, room for 48 L: 12 L of 10 % and 48 L of 80 %: (1.2 + 38.4) L in 60 L.
  const auto parts = fill_parts(12.0, 55.0, 0.0, 60.0);
  EXPECT_DOUBLE_EQ(parts.total_l, 60.0);
  EXPECT_DOUBLE_EQ(parts.short_l, 7.0);
  EXPECT_NEAR(landed(parts, 0.10, 0.0, 0.80), 39.6 / 60.0, 1e-15);
}

TEST(Blend, HoseHoldsMoreThanIsAdded) {
  // 0.5 L added, all of it the hose's 10 %: (2 + 0.05) L in 20.5 L; this pump's fuel: none.
  const auto parts = fill_parts(20.0, 0.5, 1.0, 60.0);
  EXPECT_EQ(parts.fresh_share, 0.0);
  EXPECT_NEAR(landed(parts, 0.10, 0.10, 0.80), 2.05 / 20.5, 1e-15);
}

TEST(Blend, AFullTankTakesNothing) {
  const auto parts = fill_parts(60.0, k_infinity, 1.0, 60.0);
  EXPECT_EQ(parts.heel_share, 1.0);
  EXPECT_EQ(parts.fresh_share, 0.0);
  EXPECT_DOUBLE_EQ(landed(parts, 0.123, 0.5, 0.9), 0.123);
}

TEST(Blend, NothingAtAllHasNoFreshShare) {
  const auto parts = fill_parts(0.0, 0.0, 0.0, 60.0);
  EXPECT_EQ(parts.total_l, 0.0);
  EXPECT_EQ(parts.heel_share, 1.0);
}

TEST(Blend, HeelIsHeldWithinTheTank) {
  EXPECT_EQ(heel_volume(2.0, -3.0, 60.0), 0.0);
  EXPECT_EQ(heel_volume(2.0, 1.5, 60.0), 3.5);
  EXPECT_EQ(heel_volume(58.0, 5.0, 60.0), 60.0);
  EXPECT_EQ(heel_after_burning(30.0, 40.0, 60.0), 0.0);
  EXPECT_EQ(heel_after_burning(30.0, 10.0, 60.0), 20.0);
}

TEST(Blend, TwoFills) {
  // 20 L of 10 % and 40 L of 80 %: 34 L in 60 L, 17/30. 45 L burned leave 15 L with 8.5 L of
  // ethanol; 45 L of 80 % bring 36 L: 44.5 L in 60 L.
  const auto first = fill_parts(20.0, k_infinity, 0.0, 60.0);
  const double between = landed(first, 0.10, 0.0, 0.80);
  EXPECT_NEAR(between, 17.0 / 30.0, 1e-15);
  const double heel = heel_after_burning(first.total_l, 45.0, 60.0);
  const auto second = fill_parts(heel, k_infinity, 0.0, 60.0);
  EXPECT_NEAR(landed(second, between, 0.0, 0.80), 44.5 / 60.0, 1e-15);
}

TEST(Blend, OldFuelByAReading) {
  EXPECT_DOUBLE_EQ(content_from_reading(0.30, 0.05), 0.25);
  EXPECT_EQ(content_from_reading(0.02, 0.05), 0.0);
  EXPECT_EQ(content_from_reading(0.98, -0.05), 1.0);
}

// Common practice, no source: one US gallon of a 30 % heel in a mid-size tank (14 to 16 gal),
// filled with fuel of 80 %, lands at 75 to 78 %.
TEST(Blend, RuleOfThumbForOneGallonOfHeel) {
  for (const double tank_gal : {14.0, 15.0, 16.0}) {
    const double c = landed(fill_parts(1.0, k_infinity, 0.0, tank_gal), 0.30, 0.0, 0.80);
    EXPECT_GT(c, 0.75);
    EXPECT_LT(c, 0.78);
  }
}

// The same source for one case, for an Eigen array of cases and for columns of a batch.
TEST(Blend, ScalarArrayAndBatchAgree) {
  constexpr int n = 1003;
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  Eigen::ArrayXd gauge(n);
  Eigen::ArrayXd click_off(n);
  Eigen::ArrayXd hose(n);
  Eigen::ArrayXd meter(n);
  Eigen::ArrayXd c_heel(n);
  Eigen::ArrayXd c_hose(n);
  Eigen::ArrayXd c_fresh(n);
  for (int i = 0; i < n; ++i) {
    gauge[i] = 20.0 * uniform(random) - 12.0;
    click_off[i] = 20.0 + 5.0 * uniform(random);
    hose[i] = 3.0 * uniform(random);
    meter[i] = 0.1 * uniform(random) - 0.05;
    c_heel[i] = uniform(random);
    c_hose[i] = uniform(random);
    c_fresh[i] = uniform(random);
  }
  for (const double amount : {15.0, 1.0, 0.0, k_infinity}) {
    const Eigen::ArrayXd indicated = Eigen::ArrayXd::Constant(n, 6.0);
    const Eigen::ArrayXd ordered = (amount * (meter + 1.0)).max(0.0);
    const Eigen::ArrayXd heel = heel_volume(indicated, gauge, click_off);
    const FillParts<Eigen::ArrayXd> parts = fill_parts(heel, ordered, hose, click_off);
    const Eigen::ArrayXd content = mixed_content(parts, c_heel, c_hose, c_fresh);

    Columns columns(n, 7);
    const auto column = [&columns](std::size_t i) { return columns.column(i); };
    heel_volumes(6.0, gauge.data(), click_off.data(), column(0), n);
    const PartsColumns out{column(1), column(2), column(3), column(4), column(5)};
    const bool empty =
        fill_batch(amount, meter.data(), column(0), hose.data(), click_off.data(), out, n);
    std::copy_n(c_heel.data(), n, column(6));
    mix_batch(out, c_hose.data(), c_fresh.data(), column(6), n);

    bool expect_empty = false;
    for (int i = 0; i < n; ++i) {
      const double one_heel = heel_volume(6.0, gauge[i], click_off[i]);
      const double one_ordered = larger(amount * (1.0 + meter[i]), 0.0);
      const auto one = fill_parts(one_heel, one_ordered, hose[i], click_off[i]);
      const double one_content = landed(one, c_heel[i], c_hose[i], c_fresh[i]);
      expect_empty |= one.total_l <= 0.0;
      // Rounding only: a product may or may not be rounded before its sum.
      ASSERT_NEAR(content[i], one_content, 1e-15) << i;
      ASSERT_NEAR(column(6)[i], one_content, 1e-15) << i;
      ASSERT_NEAR(column(1)[i], one.total_l, 1e-14) << i;
      ASSERT_NEAR(one.heel_share + one.hose_share + one.fresh_share, 1.0, 1e-15) << i;
    }
    EXPECT_EQ(empty, expect_empty) << amount;
  }
}

}  // namespace
}  // namespace blendrisk::models
