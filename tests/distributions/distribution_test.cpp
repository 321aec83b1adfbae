#include "distributions/families.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include "numeric/vector_math.hpp"
#include "text/error.hpp"

namespace blendrisk::distributions {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();
constexpr double k_nan = std::numeric_limits<double>::quiet_NaN();

struct Named {
  const char* name;
  Distribution law;
};

std::vector<Named> continuous_laws() {
  return {
      {"normal", normal(4.0, 1.5)},
      {"uniform", uniform(-1.0, 3.0)},
      {"triangular", triangular(0.0, 1.0, 4.0)},
      {"falling triangle", triangular(0.0, 0.0, 4.0)},
      {"rising triangle", triangular(0.0, 4.0, 4.0)},
      {"trapezoidal", trapezoidal(1.0, 2.0, 2.5, 7.0)},
      {"flat trapezoid", trapezoidal(1.0, 1.0, 2.0, 2.0)},
      {"arcsine", arcsine(-2.0, 5.0)},
      {"beta", beta(0.51, 0.85, 2.0, 5.0)},
      {"U-shaped beta", beta(0.0, 1.0, 0.4, 0.6)},
      {"student", student(0.7, 0.02, 3.0)},
      {"student 1", student(0.7, 0.02, 1.0)},
      {"student 40", student(0.7, 0.02, 40.0)},
      {"quantiles", quantiles(std::array{0.05, 1.0, 0.5, 4.0, 0.9, 5.0, 0.999, 9.0})},
      {"cut quantiles", truncated(quantiles(std::array{0.05, 1.0, 0.5, 4.0, 0.9, 5.0}), 0.5, 4.5)},
      {"cut normal", truncated(normal(4.0, 1.5), 3.0, 9.0)},
      {"normal's lower tail", truncated(normal(0.0, 1.0), -22.0, -20.0)},
      {"normal's upper tail", truncated(normal(0.0, 1.0), 20.0, 22.0)},
      {"narrow normal", truncated(normal(0.0, 1.0), 1.0, 1.0 + 1e-6)},
      {"cut uniform", truncated(uniform(-1.0, 3.0), 0.0, 9.0)},
      {"cut trapezoid", truncated(trapezoidal(1.0, 2.0, 2.5, 7.0), 1.5, 6.99)},
      {"cut arcsine", truncated(arcsine(-2.0, 5.0), -3.0, 4.0)},
      {"cut beta", truncated(beta(0.51, 0.85, 2.0, 5.0), 0.6, 0.8)},
      {"cut student", truncated(student(0.7, 0.02, 3.0), 0.65, 1.0)},
      {"student's tail", truncated(student(0.0, 1.0, 4.0), 50.0, 51.0)},
      {"nested", truncated(truncated(normal(4.0, 1.5), 3.0, 9.0), 0.0, 5.0)},
  };
}

TEST(Distribution, CdfAndComplementAddToOne) {
  for (const auto& [name, law] : continuous_laws()) {
    for (double p = 0.001; p < 1.0; p += 0.0137) {
      const double x = quantile(law, p);
      EXPECT_NEAR(cdf(law, x) + complement(law, x), 1.0, 1e-13) << name << " at " << p;
      EXPECT_EQ(cdf(law, x), cdf_below(law, x)) << name;
    }
  }
}

TEST(Distribution, CdfRisesFromZeroToOne) {
  for (const auto& [name, law] : continuous_laws()) {
    EXPECT_EQ(cdf(law, -k_infinity), 0.0) << name;
    EXPECT_EQ(cdf(law, k_infinity), 1.0) << name;
    EXPECT_EQ(complement(law, -k_infinity), 1.0) << name;
    EXPECT_EQ(complement(law, k_infinity), 0.0) << name;
    if (std::isfinite(lowest(law))) {
      EXPECT_EQ(cdf(law, lowest(law)), 0.0) << name;
      EXPECT_EQ(complement(law, highest(law)), 0.0) << name;
      EXPECT_EQ(cdf(law, highest(law)), 1.0) << name;
    }
    double last = -k_infinity;
    for (double p = 1e-9; p < 1.0; p = p < 0.01 ? p * 1.7 : p + 0.01) {
      const double x = quantile(law, p);
      EXPECT_GE(x, last) << name << " at " << p;
      EXPECT_GE(x, lowest(law)) << name;
      EXPECT_LE(x, highest(law)) << name;
      last = x;
    }
  }
}

// x is a double: its rounding alone moves the tail by density·eps·|x|, so the round trip is
// judged on x's own neighbours.
TEST(Distribution, QuantileUndoesCdfFromEitherTail) {
  for (const auto& [name, law] : continuous_laws()) {
    for (double p = 1e-14; p < 1.0; p = p < 0.01 ? p * 3.1 : p + 0.0123) {
      const double x = quantile(law, p);
      const double step = 4e-15 * std::abs(x);
      EXPECT_LE(cdf(law, x - step), p * (1 + 1e-12)) << name << " at " << p;
      EXPECT_GE(cdf(law, x + step), p * (1 - 1e-12)) << name << " at " << p;
      const double y = quantile_complement(law, p);
      const double gap = 4e-15 * std::abs(y);
      EXPECT_GE(complement(law, y - gap), p * (1 - 1e-12)) << name << " at " << p;
      EXPECT_LE(complement(law, y + gap), p * (1 + 1e-12)) << name << " at " << p;
    }
  }
}

TEST(Distribution, MeanIsTheIntegralOfTheQuantile) {
  for (const auto& [name, law] : continuous_laws()) {
    if (std::string(name) == "student 1") continue;  // it has none
    // Midpoints; a t law of 3 degrees has a quantile that grows as p^(-1/3).
    constexpr int k_points = 20000;
    double sum = 0.0;
    for (int i = 0; i < k_points; ++i) sum += quantile(law, (i + 0.5) / k_points) / k_points;
    const double spread = quantile(law, 0.9) - quantile(law, 0.1);
    EXPECT_NEAR(mean(law), sum, 2e-4 * spread + 1e-15) << name;
  }
}

TEST(Distribution, MeansFollowTheirFormulas) {
  EXPECT_DOUBLE_EQ(mean(normal(4.0, 1.5)), 4.0);
  EXPECT_DOUBLE_EQ(mean(triangular(0.0, 1.0, 5.0)), 2.0);  // (low + peak + high)/3
  EXPECT_DOUBLE_EQ(mean(beta(1.0, 8.0, 2.0, 5.0)), 3.0);   // low + width a/(a + b)
  EXPECT_DOUBLE_EQ(mean(arcsine(1.0, 8.0)), 4.5);
  EXPECT_DOUBLE_EQ(mean(student(0.7, 1.0, 0.5)), 0.7);
  // Half normal: sqrt(2/π).
  EXPECT_NEAR(mean(truncated(normal(0.0, 1.0), 0.0, 40.0)), std::sqrt(2.0 * std::numbers::inv_pi),
              1e-14);
  // Cut t of 3 degrees at its center: E|T| = 2 sqrt 3/π, less 1e-16 of it beyond 1e9.
  EXPECT_NEAR(mean(truncated(student(0.0, 1.0, 3.0), 0.0, 1e9)),
              2.0 * std::sqrt(3.0) * std::numbers::inv_pi, 1e-14);
  // Cauchy: (ln(1 + b²)/2)/atan b; heavier tails: mpmath 1.2 at 60 digits.
  EXPECT_NEAR(mean(truncated(student(0.0, 1.0, 1.0), 0.0, 1e9)), 13.192840788228522636, 1e-13);
  EXPECT_NEAR(mean(truncated(student(0.0, 1.0, 1.5), -1.0, 1e6)), 1.1602347864743285438, 1e-14);
  EXPECT_NEAR(mean(truncated(student(0.0, 1.0, 0.5), -1e9, 3.0)), -12422.452272116540869, 1e-10);
  EXPECT_NEAR(mean(truncated(beta(0.0, 1.0, 2.0, 5.0), 0.1, 0.4)), 0.24277733439744614, 1e-15);
  EXPECT_NEAR(mean(truncated(student(0.0, 1.0, 4.0), 50.0, 50.0 + 1e-9)) - 50.0, 5e-10, 1e-14);
  EXPECT_NEAR(mean(truncated(triangular(0.0, 0.0, 3.0), 0.0, 30.0)), 1.0, 1e-14);
}

TEST(Distribution, ClosedFormsKeepRelativeDigitsInBothTails) {
  const double tiny = 1e-150;
  // Triangle on [0, 1] peaking at 0.25: F = x²/0.25; falling one: 1 − (1 − x)² = 2x − x².
  EXPECT_NEAR(cdf(triangular(0.0, 0.25, 1.0), tiny) / (tiny * tiny / 0.25), 1.0, 1e-14);
  EXPECT_NEAR(cdf(triangular(0.0, 0.0, 1.0), tiny) / (2.0 * tiny), 1.0, 1e-14);
  EXPECT_NEAR(complement(triangular(-1.0, 0.0, 0.0), -tiny) / (2.0 * tiny), 1.0, 1e-14);
  EXPECT_NEAR(cdf(arcsine(0.0, 1.0), 1e-300) / (2e-150 * std::numbers::inv_pi), 1.0, 1e-14);
  EXPECT_NEAR(complement(arcsine(-1.0, 0.0), -1e-300) / (2e-150 * std::numbers::inv_pi), 1.0,
              1e-14);
  EXPECT_NEAR(complement(beta(-1.0, 0.0, 1.0, 2.0), -tiny) / (tiny * tiny), 1.0, 1e-13);
  // Cauchy: P(X > x) = atan2(1, x)/π.
  EXPECT_NEAR(complement(student(0.0, 1.0, 1.0), 1e200) * std::numbers::pi * 1e200, 1.0, 1e-13);
  // Two degrees: P(X > x) is near 1/(2 x²).
  EXPECT_NEAR(complement(student(0.0, 1.0, 2.0), 1e140) * 2e280, 1.0, 1e-13);
  EXPECT_NEAR(quantile(triangular(0.0, 0.0, 1.0), 1e-200) / 5e-201, 1.0, 1e-14);
  EXPECT_NEAR(quantile_complement(arcsine(-1.0, 0.0), 1e-100) /
                  (-std::numbers::pi * std::numbers::pi / 4.0 * 1e-200),
              1.0, 1e-14);
}

// References: the hypergeometric series of mpmath 1.2 at 40 digits.
TEST(Distribution, FarTailsOfStudentAndBetaFollowTheirSeries) {
  const double student_tails[][3] = {
      {200.0, 1.0, 0.15925942395487333324},       {200.0, 5.0, 6.2509906388576976811e-7},
      {200.0, 15.0, 7.0822496393570225139e-35},   {200.0, 30.0, 2.8620806044139259411e-76},
      {200.0, 100.0, 4.9784217952267763531e-173}, {0.5, 1e300, 3.2070097541422289192e-151},
      {3.0, 1e90, 1.1026577908435842099e-270},    {7.5, 1e30, 2.6941682413699585348e-223},
      {4.5, 1e60, 5.2491951236434332727e-270},    {1e6, 30.0, 6.0100471168317189413e-198}};
  for (const auto& [dof, t, wanted] : student_tails) {
    EXPECT_NEAR(complement(student(0.0, 1.0, dof), t) / wanted, 1.0, 2e-13) << dof << " at " << t;
    EXPECT_NEAR(cdf(student(0.0, 1.0, dof), -t) / wanted, 1.0, 2e-13) << dof << " at " << t;
  }
  const double beta_tails[][4] = {{0.5, 0.5, 1e-12, 6.3661977236768743997e-7},
                                  {1403.0, 12.0, 0.6, 2.5754070056129942449e-289},
                                  {2.0, 5.0, 1e-149, 1.5e-297},
                                  {0.7, 12.0, 1e-250, 6.2123735128030631017e-175}};
  for (const auto& [a, b, x, wanted] : beta_tails) {
    EXPECT_NEAR(cdf(beta(0.0, 1.0, a, b), x) / wanted, 1.0, 1e-13) << a << ' ' << b;
    EXPECT_NEAR(complement(beta(-1.0, 0.0, b, a), -x) / wanted, 1.0, 1e-13) << a << ' ' << b;
    EXPECT_NEAR(quantile(beta(0.0, 1.0, a, b), wanted) / x, 1.0, 1e-13) << a << ' ' << b;
  }
  EXPECT_NEAR(complement(beta(0.0, 1.0, 0.5, 0.5), 1e-12), 0.99999936338022763231, 1e-15);
}

TEST(Distribution, QuantilesReachFarTailsOfEveryBetaShape) {
  for (const double a : {1e-3, 0.4, 1.0, 7.0, 300.0, 1e5}) {
    for (const double b : {1e-3, 0.6, 2.0, 40.0, 1e5}) {
      const Distribution law = beta(0.0, 1.0, a, b);
      for (double p = 1e-290; p < 1.0; p = p < 0.1 ? p * 1e5 : p + 0.13) {
        const double x = quantile(law, p);
        if (x < 1e-300 || x == 1.0) continue;  // beyond what a double can say
        const double step = 1e-15 * x;
        EXPECT_LE(cdf(law, x - step), p * (1 + 1e-12)) << a << ' ' << b << " at " << p;
        EXPECT_GE(cdf(law, x + step), p * (1 - 1e-12)) << a << ' ' << b << " at " << p;
      }
    }
  }
}

TEST(Distribution, TruncatedFarTailFollowsTheExponentialLimit) {
  // Beyond z the normal tail is close to e^{-z d}(1 − d²/2 ...): the share above by Mills' ratio.
  const Distribution law = truncated(normal(0.0, 1.0), 30.0, 36.0);
  for (const double d : {1e-12, 1e-6, 1e-3, 0.1}) {
    const double x = 30.0 + d;
    const long double tail =
        std::erfc(static_cast<long double>(x) / std::numbers::sqrt2_v<long double>);
    const long double whole = std::erfc(30.0L / std::numbers::sqrt2_v<long double>) -
                              std::erfc(36.0L / std::numbers::sqrt2_v<long double>);
    const long double end = std::erfc(36.0L / std::numbers::sqrt2_v<long double>);
    EXPECT_NEAR(complement(law, x) / static_cast<double>((tail - end) / whole), 1.0, 1e-13);
  }
  const double d = quantile(law, 1e-9) - 30.0;
  EXPECT_NEAR(d * 30.0, 1e-9, 1e-11);  // hazard near 30 + 1/30; x has steps of 3.6e-15
  EXPECT_NEAR(mean(law), 30.0 + 1.0 / 30.0 - 2.0 / 27000.0, 1e-6);  // Mills' series
}

TEST(Distribution, TruncatedQuantilesStayInsideAndKeepDigitsNearAnEnd) {
  const Distribution zero = truncated(normal(5.0, 2.0), 0.0, 12.0);
  // Near the low end F = density·x/mass, so the quantile is p mass/density.
  const double density = std::exp(-3.125) / (2.0 * std::sqrt(2.0 * std::numbers::pi));
  const Distribution base = normal(5.0, 2.0);
  const double mass = 1.0 - cdf(base, 0.0) - complement(base, 12.0);
  for (const double p : {1e-20, 1e-60, 1e-200}) {
    EXPECT_NEAR(quantile(zero, p) / (p * mass / density), 1.0, 1e-12) << p;
  }
  EXPECT_GE(quantile(zero, 1e-300), 0.0);
  EXPECT_LE(quantile_complement(zero, 1e-300), 12.0);
}

TEST(Distribution, TruncationInsideTruncationIsTheOverlap) {
  const Distribution nested = truncated(truncated(normal(4.0, 1.5), 3.0, 9.0), 0.0, 5.0);
  const Distribution once = truncated(normal(4.0, 1.5), 3.0, 5.0);
  for (double x = 2.9; x < 5.2; x += 0.1) EXPECT_EQ(cdf(nested, x), cdf(once, x));
  EXPECT_EQ(lowest(nested), 3.0);
  EXPECT_EQ(highest(nested), 5.0);
  EXPECT_THROW(truncated(nested, 6.0, 7.0), text::Error);
}

TEST(Distribution, EmptyWindowIsAnError) {
  const std::array<Distribution, 6> laws{normal(0.0, 1.0),  uniform(0.0, 1.0),
                                         exact(4.0),        empirical({1.0, 2.0}),
                                         arcsine(0.0, 1.0), beta(0, 1, 2, 2)};
  for (const Distribution& law : laws) {
    try {
      truncated(law, 60.0, 61.0);
      FAIL() << "accepted";
    } catch (const text::Error& error) {
      EXPECT_NE(std::string(error.what()).find("[60, 61] holds none of the distribution"),
                std::string::npos);
    }
  }
  EXPECT_THROW(truncated(normal(0.0, 1.0), 2.0, 2.0), text::Error);
  EXPECT_THROW(truncated(normal(0.0, 1.0), 2.0, 1.0), text::Error);
  EXPECT_THROW(truncated(normal(0.0, 1.0), 0.0, k_infinity), text::Error);
  EXPECT_THROW(truncated(normal(0.0, 1.0), k_nan, 1.0), text::Error);
}

TEST(Distribution, ImpossibleParametersAreErrors) {
  EXPECT_THROW(exact(k_nan), text::Error);
  EXPECT_THROW(normal(0.0, 0.0), text::Error);
  EXPECT_THROW(normal(0.0, -1.0), text::Error);
  EXPECT_THROW(normal(k_infinity, 1.0), text::Error);
  EXPECT_THROW(normal(0.0, k_nan), text::Error);
  EXPECT_THROW(uniform(1.0, 1.0), text::Error);
  EXPECT_THROW(uniform(2.0, 1.0), text::Error);
  EXPECT_THROW(uniform(-1e308, 1e308), text::Error);
  EXPECT_THROW(triangular(0.0, 2.0, 1.0), text::Error);
  EXPECT_THROW(triangular(0.0, k_nan, 1.0), text::Error);
  EXPECT_THROW(trapezoidal(0.0, 0.7, 0.3, 1.0), text::Error);
  EXPECT_THROW(trapezoidal(0.0, 0.0, 0.0, 0.0), text::Error);
  EXPECT_THROW(arcsine(1.0, 0.0), text::Error);
  EXPECT_THROW(beta(0.0, 1.0, 0.0, 1.0), text::Error);
  EXPECT_THROW(beta(0.0, 1.0, 1.0, -1.0), text::Error);
  EXPECT_THROW(student(0.0, 0.0, 3.0), text::Error);
  EXPECT_THROW(student(0.0, 1.0, 0.0), text::Error);
  EXPECT_THROW(empirical({}), text::Error);
  EXPECT_THROW(empirical({1.0}), text::Error);
  EXPECT_THROW(empirical({1.0, k_nan}), text::Error);
}

TEST(Distribution, BatchIsTheScalarOverAgain) {
  std::vector<Named> laws = continuous_laws();
  laws.push_back({"exact", exact(2.0)});
  laws.push_back({"empirical", empirical({1.0, 2.0, 2.0, 5.0})});
  // Compiled for several processors, a batch may fuse a product and a sum that the scalar rounds
  // one by one. In a sum such as mean + sd z that is an ulp or two of the larger term.
  constexpr double k_fused = 4 * 0x1p-52;
  constexpr std::size_t k_count = 1201;  // more than two chunks, and a remainder
  for (const auto& [name, law] : laws) {
    std::vector<double> u(k_count);
    for (std::size_t i = 0; i < k_count; ++i) u[i] = (static_cast<double>(i) + 0.5) / k_count;
    u[0] = 1e-17;
    u[k_count - 1] = 1.0 - 0x1p-53;
    std::vector<double> x(k_count);
    std::vector<double> p(k_count);
    std::vector<double> q(k_count);
    quantile(law, u, x);
    cdf_below(law, x, p);
    complement(law, x, q);
    for (std::size_t i = 0; i < k_count; ++i) {
      // A truncated difference keeps 1e-13 of itself (see the batch), everything else 1e-14; a
      // batch of a law that is searched is solved from its table of quantiles.
      const bool searched = law.law().traits().searched;
      const double kept = searched ? 1e-6 : 1e-13;
      const double absolute = searched ? 1e-6 : 1e-14;
      const double fused = searched ? 1e-8 : k_fused;
      ASSERT_NEAR(x[i], quantile(law, u[i]), fused * std::max(std::abs(x[i]), std::abs(mean(law))))
          << name << " at " << u[i];
      const double below = cdf_below(law, x[i]);
      const double above = complement(law, x[i]);
      ASSERT_NEAR(p[i], below, kept * below) << name << " at " << u[i];
      ASSERT_NEAR(q[i], above, kept * above) << name << " at " << u[i];
      ASSERT_NEAR(p[i], below, absolute) << name;
      ASSERT_NEAR(q[i], above, absolute) << name;
    }
  }
}

TEST(Distribution, BatchMayOverwriteItsInput) {
  const Distribution law = truncated(normal(4.0, 1.5), 3.0, 9.0);
  std::vector<double> in(700, 0.25);
  std::vector<double> out(700);
  quantile(law, in, out);
  quantile(law, in, in);
  EXPECT_EQ(in, out);
}

// Φ of the score is the share, in either tail, by the formula and by the table; infinite where
// there is none or all.
TEST(Distribution, ScoresAreThoseOfTheShares) {
  std::vector<Named> laws = continuous_laws();
  laws.push_back({"empirical", empirical({1.0, 2.0, 2.0, 5.0})});
  for (const auto& [name, law] : laws) {
    std::vector<double> x{-k_infinity, lowest(law), highest(law), k_infinity, 2.0};
    for (double p = 1e-9; p < 1.0; p += 0.00719) x.push_back(quantile(law, p));
    for (const bool above : {false, true}) {
      std::vector<double> z(x);
      score(law, above, z, z);  // in place
      for (std::size_t i = 0; i < x.size(); ++i) {
        const double share = above ? complement(law, x[i]) : cdf_below(law, x[i]);
        const double rest = above ? cdf(law, x[i]) : 1.0 - share;
        if (share == 0.0) {
          EXPECT_LT(z[i], -37.0) << name << ' ' << x[i];
        } else if (rest == 0.0) {
          EXPECT_GT(z[i], 5.0) << name << ' ' << x[i];
        } else {
          const double told = numeric::normal_cdf(z[i]);
          EXPECT_NEAR(told, share, 2e-6 * std::min(share, 1.0 - share) + 1e-9)
              << name << ' ' << x[i] << ' ' << above;
        }
      }
    }
  }
}

}  // namespace
}  // namespace blendrisk::distributions
