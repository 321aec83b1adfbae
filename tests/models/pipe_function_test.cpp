#include "models/pipe_function.hpp"

#include <gsl/gsl_sf_expint.h>
#include <gtest/gtest.h>

#include <limits>
#include <vector>

namespace blendrisk::models {
namespace {

// Ei by the GNU Scientific Library.
TEST(PipeFunction, AgreesWithGsl) {
  for (double s = 1e-5; s < 600.0; s *= 1.013) {
    const double scaled = gsl_sf_expint_Ei_scaled(s);
    EXPECT_NEAR(pipe_function(s), s * s * scaled - s - 1.0, 4e-16 * s * s + 1e-14) << s;
  }
  EXPECT_EQ(pipe_function(0.0), -1.0);
  EXPECT_NEAR(pipe_function(1e9) * 1e9, 2.0, 1e-8);
}

// Table of e^{−x} Ei(x) x (Abramowitz and Stegun, table 5.2, from memory): 1.131470205 at x = 10.
TEST(PipeFunction, AgreesWithATable) {
  EXPECT_NEAR(pipe_function(10.0), 10.0 * 1.131470205 - 11.0, 1e-8);
}

// Ei has an asymptotic series (Abramowitz and Stegun, 5.1.51): s² e^{−s} Ei(s) − s − 1 ~ Σ
// k!/s^{k−1} from k = 2 on.
TEST(PipeFunction, FollowsItsSeriesFarOut) {
  for (double s = 200.0; s < 1e6; s *= 1.37) {
    double sum = 0.0;
    for (int k = 12; k > 2; --k) sum = k / s * (1.0 + sum);
    EXPECT_NEAR(pipe_function(s), 2.0 / s * (1.0 + sum), 1e-14) << s;
  }
}

TEST(PipeFunction, OfAnArrayIsThatOfEachNumber) {
  std::vector<double> s{0.0,    1e-6, 1.0 / 1024.0, 8191.0,
                        8192.0, 1e9,  -1.0,         std::numeric_limits<double>::infinity()};
  for (double next = 1e-4; next < 2e4; next *= 1.7) s.push_back(next);
  std::vector<double> h(s.size());
  pipe_function(s, h);
  for (std::size_t i = 0; i < s.size(); ++i) EXPECT_NEAR(h[i], pipe_function(s[i]), 1e-15) << s[i];
}

}  // namespace
}  // namespace blendrisk::models
