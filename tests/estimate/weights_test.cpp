#include "estimate/weights.hpp"

#include <gtest/gtest.h>

#include "models/infinity.hpp"

namespace blendrisk::estimate {
namespace {

TEST(Weights, EqualOnesAreWorthTheirNumberAndOneAloneIsOne) {
  EXPECT_EQ(mass_of(std::vector(7, 0.25)).effective(), 7.0);
  EXPECT_EQ(mass_of(std::vector{0.0, 3.0, 0.0}).effective(), 1.0);
  // (1 + 2 + 3)² / (1 + 4 + 9), by hand.
  EXPECT_DOUBLE_EQ(mass_of(std::vector{1.0, 2.0, 3.0}).effective(), 36.0 / 14.0);
}

TEST(Weights, NearestComeInOrderAndEqualOnesByNumber) {
  const std::vector<double> state{-2.0, 1.0, -k_infinity, 1.0, 5.0};
  EXPECT_EQ(nearest(state, 3), (std::vector<std::size_t>{4, 1, 3}));
  EXPECT_EQ(nearest(state, 5), (std::vector<std::size_t>{4, 1, 3, 0, 2}));
  EXPECT_TRUE(nearest(state, 0).empty());
}

}  // namespace
}  // namespace blendrisk::estimate
