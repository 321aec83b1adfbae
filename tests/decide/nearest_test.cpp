#include "decide/nearest.hpp"

#include <gtest/gtest.h>

#include <vector>

namespace blendrisk::decide {
namespace {

// By hand: from 10.0 on in tenths 1, 2, 4, 8 steps, then halves between 4 and 8.
TEST(Nearest, DoublesThenHalves) {
  std::vector<double> tried;
  const auto from_10_6 = [&](double x) {
    tried.push_back(x);
    return x > 10.55;
  };
  EXPECT_DOUBLE_EQ(nearest_within(10.0, 20.0, 0.1, from_10_6).value(), 10.6);
  const std::vector<double> steps{10.0, 10.1, 10.2, 10.4, 10.8, 10.6, 10.5};
  ASSERT_EQ(tried.size(), steps.size());
  for (std::size_t i = 0; i < steps.size(); ++i) EXPECT_DOUBLE_EQ(tried[i], steps[i]);
}

TEST(Nearest, GoesEitherWayAndNoFartherThanTheEnd) {
  const auto up_to_3 = [](double x) { return x < 3.05; };
  EXPECT_DOUBLE_EQ(nearest_within(5.0, 0.0, 0.1, up_to_3).value(), 3.0);
  EXPECT_DOUBLE_EQ(nearest_within(2.0, 0.0, 0.1, up_to_3).value(), 2.0);
  EXPECT_FALSE(nearest_within(5.0, 3.1, 0.1, up_to_3).has_value());
  // The end itself is tried, be it between two steps of the display.
  EXPECT_DOUBLE_EQ(nearest_within(5.0, 3.04, 0.1, up_to_3).value(), 3.04);
}

}  // namespace
}  // namespace blendrisk::decide
