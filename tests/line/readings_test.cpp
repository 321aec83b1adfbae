#include "line/readings.hpp"

#include <gtest/gtest.h>

#include <boost/math/distributions/normal.hpp>
#include <cmath>

namespace blendrisk::line::readings_test {
namespace {

/// P(a display of that step shows the value) by Boost.Math.
double shown(const Reading& reading, double seen) {
  const boost::math::normal_distribution<long double> law(seen, reading.sd);
  const auto off = static_cast<long double>(std::abs(reading.value - seen));
  const long double half = 0.5L * static_cast<long double>(reading.step);
  return static_cast<double>(cdf(complement(law, seen + off - half)) -
                             cdf(complement(law, seen + off + half)));
}

TEST(Readings, LikelihoodIsTheChanceOfWhatIsShown) {
  for (const double step : {0.01, 0.005, 0.001}) {
    const Reading reading{{}, 0.62, 0.003, step};
    for (double seen = 0.55; seen < 0.7; seen += 0.0013) {
      const double expected = std::log(shown(reading, seen));
      EXPECT_NEAR(log_likelihood(reading, seen), expected, 1e-11 * (1.0 - expected)) << seen;
    }
  }
}

// Beyond 30 standard deviations by Mills' ratio, whose next term is 1/z² (Abramowitz and Stegun,
// 7.1.23, from memory): the logarithm goes on without a jump.
TEST(Readings, LikelihoodGoesOnFarOut) {
  const Reading reading{{}, 0.62, 0.003, 0.005};
  const double edge = 0.62 - 0.0025 - 30.0 * 0.003;
  EXPECT_NEAR(log_likelihood(reading, edge - 1e-9), log_likelihood(reading, edge + 1e-9), 1.5e-3);
  EXPECT_TRUE(std::isfinite(log_likelihood(reading, -50.0)));
  EXPECT_LT(log_likelihood(reading, -50.0), log_likelihood(reading, -40.0));
}

TEST(Readings, WithoutAStepItIsTheDensity) {
  const Reading smooth{{}, 0.62, 0.003, 0.0};
  EXPECT_NEAR(log_likelihood(smooth, 0.626) - log_likelihood(smooth, 0.62), -2.0, 1e-12);
  const Reading narrow{{}, 0.62, 0.003, 1e-8};
  EXPECT_NEAR(log_likelihood(narrow, 0.626), std::log(shown(narrow, 0.626)), 1e-6);
}

TEST(Readings, OfManyCasesItIsAddedToEach) {
  const Reading reading{{}, 0.62, 0.003, 0.005};
  std::vector<double> seen;
  for (int i = 0; i < 37; ++i) seen.push_back(0.5 + 0.007 * i);
  std::vector<double> sum(seen.size(), 3.0);
  add_log_likelihood(reading, seen, sum);
  for (std::size_t i = 0; i < seen.size(); ++i) {
    const double alone = log_likelihood(reading, seen[i]);
    EXPECT_NEAR(sum[i], 3.0 + alone, 1e-12 * std::abs(alone)) << seen[i];
  }
}

}  // namespace
}  // namespace blendrisk::line::readings_test
