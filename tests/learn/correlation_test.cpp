#include "learn/correlation.hpp"

#include <gtest/gtest.h>

#include <random>

namespace blendrisk::learn {
namespace {

/// x_i = r x_{i−1} + noise, whose length is (1 + r)/(1 − r).
std::vector<double> chain_of(double r, std::size_t n, std::mt19937_64& random) {
  std::normal_distribution<double> normal;
  std::vector<double> values(n);
  double last = 0.0;
  for (double& value : values) value = last = r * last + normal(random);
  return values;
}

// r_1 above 3.3/√n: once in 2000; 3 or more of 500, of which 0.24 are expected, once in 500.
TEST(CorrelationLength, IsOneForIndependentValues) {
  std::mt19937_64 random(1);
  int longer = 0;
  for (int run = 0; run < 500; ++run) {
    longer += correlation_length(chain_of(0.0, 400, random)) > 1.0 ? 1 : 0;
  }
  EXPECT_LT(longer, 3);
}

// The truth is 4; 20 runs of 2000 values have a spread of about 0.15 in their mean, and the cut of
// the sequence takes a little. Independent values, the twin, are far below.
TEST(CorrelationLength, IsThatOfAnAutoregression) {
  std::mt19937_64 random(2);
  double sum = 0.0;
  double twin = 0.0;
  for (int run = 0; run < 20; ++run) {
    sum += correlation_length(chain_of(0.6, 2000, random)) / 20.0;
    twin += correlation_length(chain_of(0.1, 2000, random)) / 20.0;
  }
  EXPECT_NEAR(sum, 4.0, 0.6);
  EXPECT_LT(twin, 3.4);
}

}  // namespace
}  // namespace blendrisk::learn
