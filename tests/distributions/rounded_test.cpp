#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

#include "distributions/families.hpp"
#include "text/error.hpp"

namespace blendrisk::distributions {
namespace {

// Two uniform laws make the trapezoidal (JCGM 101:2008, 6.4.4, from memory).
TEST(Rounded, OfAUniformLawIsTrapezoidal) {
  const Distribution sum = rounded(uniform(2.0, 5.0), 1.0);
  const Distribution exactly = trapezoidal(1.5, 2.5, 4.5, 5.5);
  for (double x = 1.3; x < 5.8; x += 0.0937) {
    EXPECT_NEAR(cdf(sum, x), cdf(exactly, x), 1e-12) << x;
    EXPECT_NEAR(complement(sum, x), complement(exactly, x), 1e-12) << x;
  }
  EXPECT_EQ(lowest(sum), 1.5);
  EXPECT_EQ(highest(sum), 5.5);
  const Distribution box = rounded(exact(3.0), 0.5);
  EXPECT_EQ(cdf(box, 2.75), 0.0);
  EXPECT_NEAR(cdf(box, 3.1), 0.7, 1e-15);
}

// ∫ Φ = z Φ(z) + φ(z), by parts. In the tails both sides to nine digits.
TEST(Rounded, OfANormalLawIsTheClosedForm) {
  const double mean = 1.0;
  const double sd = 0.7;
  const double step = 2.0;
  const Distribution sum = rounded(normal(mean, sd), step);
  const auto integral = [](long double z) {
    const long double pi = 3.141592653589793238462643383279502884L;
    return z * 0.5L * std::erfc(-z / std::sqrt(2.0L)) +
           std::exp(-0.5L * z * z) / std::sqrt(2.0L * pi);
  };
  for (double x = -3.5; x < 1.0; x += 0.21) {
    const auto whole = static_cast<double>(
        sd / static_cast<long double>(step) *
        (integral((x + 0.5L * step - mean) / sd) - integral((x - 0.5L * step - mean) / sd)));
    EXPECT_NEAR(cdf(sum, x) / whole, 1.0, 1e-8) << x;
    EXPECT_NEAR(complement(sum, 2.0 * mean - x) / whole, 1.0, 1e-8) << x;
  }
  EXPECT_EQ(blendrisk::distributions::mean(sum), mean);
}

TEST(Rounded, OfMeasuredValuesIsAMixtureOfBoxes) {
  const Distribution sum = rounded(empirical({1.0, 2.0, 2.0, 7.0}), 1.0);
  EXPECT_EQ(cdf(sum, 0.5), 0.0);
  EXPECT_NEAR(cdf(sum, 1.25), 0.25 * 0.75, 1e-15);
  EXPECT_NEAR(cdf(sum, 2.25), 0.25 + 0.5 * 0.75, 1e-15);
  EXPECT_NEAR(complement(sum, 2.25), 0.25 + 0.5 * 0.25, 1e-15);
  EXPECT_NEAR(cdf(sum, 5.0), 0.75, 1e-15);
  EXPECT_NEAR(cdf(sum, quantile(sum, 0.9)), 0.9, 1e-12);
}

// Of every kind of law: both tails far out, the window of one that is cut, and a law that is moved.
TEST(Rounded, QuantilesComeBackAndTheWholeMoves) {
  const std::array laws{
      normal(0.5, 1.2),         student(0.0, 1.0, 3.0),
      beta(0.0, 4.0, 0.5, 3.0), truncated(student(0.0, 1.0, 4.0), -2.0, 5.0),
      arcsine(-1.0, 1.0),       quantiles(std::array{0.1, -1.0, 0.5, 0.0, 0.9, 3.0})};
  for (const Distribution& law : laws) {
    for (const double step : {0.1, 1.0, 6.875}) {
      const Distribution sum = rounded(law, step);
      const Distribution aside = moved(sum, sum.law().centre() + 2.0);
      for (const double p : {1e-9, 1e-4, 0.03, 0.5, 0.8}) {
        const double low = quantile(sum, p);
        const double high = quantile_complement(sum, p);
        EXPECT_NEAR(cdf(sum, low) / p, 1.0, 1e-6) << p << " " << step;
        EXPECT_NEAR(complement(sum, high) / p, 1.0, 1e-6) << p << " " << step;
        EXPECT_NEAR(quantile(aside, p), low + 2.0, 1e-9) << p << " " << step;
      }
      const Distribution cut = truncated(sum, quantile(sum, 0.2), quantile(sum, 0.6));
      EXPECT_NEAR(cdf(cut, quantile(sum, 0.3)), 0.25, 1e-9);
    }
  }
}

// Windows start from the table: the same digits as the search of the whole law.
TEST(Rounded, WindowsHaveTheQuantilesOfTheSearch) {
  for (const Distribution& law : {student(0.0, 1.0, 3.0), beta(0.0, 4.0, 0.5, 3.0),
                                  truncated(student(0.0, 1.0, 4.0), -2.0, 5.0)}) {
    for (const double step : {0.1, 1.0, 6.875}) {
      const Distribution sum = rounded(law, step);
      const double from = quantile(sum, 0.2);
      const double mass = complement(sum, from);
      const Distribution cut = truncated(sum, from, 1e9);
      for (const double p : {1e-3, 0.1, 0.3, 0.6, 0.9}) {
        const double share = cdf(sum, from) + mass * p;
        const double x = share <= mass * (1.0 - p) ? quantile(sum, share)
                                                   : quantile_complement(sum, mass * (1.0 - p));
        EXPECT_NEAR(quantile(cut, p), x, 1e-11) << p << " " << step;
      }
      for (const double q : {1e-9, 1e-4}) {
        const double whole = quantile_complement(sum, mass * q);
        EXPECT_NEAR(quantile_complement(cut, q) / whole, 1.0, 1e-10) << q << " " << step;
      }
    }
  }
}

TEST(Rounded, AStepOfNothingChangesNothing) {
  const Distribution law = normal(0.0, 1.0);
  EXPECT_EQ(&rounded(law, 0.0).law(), &law.law());
  EXPECT_THROW(rounded(law, -1.0), text::Error);
}

}  // namespace
}  // namespace blendrisk::distributions
