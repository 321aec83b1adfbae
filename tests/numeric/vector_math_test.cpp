#include "numeric/vector_math.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <vector>

// The reference throughout is Boost.Math or the C library in long double (64-bit mantissa).
namespace blendrisk::numeric {
namespace {

constexpr double k_epsilon = 0x1p-52;

std::vector<double> grid(double from, double to, std::size_t n) {
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) {
    x[i] = from + (to - from) * static_cast<double>(i) / static_cast<double>(n - 1);
  }
  return x;
}

long double reference_cdf(long double z) {
  return 0.5L * boost::math::erfc(-z / std::numbers::sqrt2_v<long double>);
}

double relative(double got, long double wanted) {
  return static_cast<double>(std::abs((static_cast<long double>(got) - wanted) / wanted));
}

TEST(NormalCdf, IsWithin1e15OfBoostDownToTheSmallestNormalNumbers) {
  const std::vector<double> z = grid(-37.5, 8.0, 40001);
  std::vector<double> p(z.size());
  normal_cdf(z, p);
  double worst = 0.0;
  for (std::size_t i = 0; i < z.size(); ++i) {
    const double error = relative(p[i], reference_cdf(z[i]));
    if (error > worst) worst = error;
    ASSERT_LE(error, 1e-15) << "z = " << z[i];
    ASSERT_EQ(p[i], normal_cdf(z[i]));
  }
  EXPECT_GT(worst, 0.0);  // the reference is finer than the result, so the comparison is not void
}

TEST(NormalCdf, RisesAndHoldsItsEnds) {
  EXPECT_EQ(normal_cdf(-std::numeric_limits<double>::infinity()), 0.0);
  EXPECT_EQ(normal_cdf(std::numeric_limits<double>::infinity()), 1.0);
  EXPECT_EQ(normal_cdf(-39.0), 0.0);
  EXPECT_EQ(normal_cdf(40.0), 1.0);
  EXPECT_EQ(normal_cdf(0.0), 0.5);
}

TEST(NormalQuantile, InvertsTheDistributionFunctionOfBoost) {
  std::vector<double> u = grid(1e-6, 1.0 - 1e-6, 20001);
  for (double p = 1e-300; p < 1e-6; p *= 17.0) u.push_back(p);
  for (double q = 0x1p-53; q < 1e-6; q *= 2.0) u.push_back(1.0 - q);
  std::vector<double> z(u.size());
  normal_quantile(u, z);
  for (std::size_t i = 0; i < u.size(); ++i) {
    const long double q = 1.0L - static_cast<long double>(u[i]);
    const long double wanted =
        u[i] <= 0.5 ? -std::numbers::sqrt2_v<long double> * boost::math::erfc_inv(2.0L * u[i])
                    : std::numbers::sqrt2_v<long double> * boost::math::erfc_inv(2.0L * q);
    // AS 241 claims about one part in 1e16 of the value; near 0 the rounding of u - 1/2 rules.
    ASSERT_NEAR(z[i], static_cast<double>(wanted),
                6 * k_epsilon * std::max(std::abs(static_cast<double>(wanted)), 0.1))
        << "u = " << u[i];
    ASSERT_EQ(z[i], normal_quantile(u[i]));
  }
}

TEST(NormalQuantile, HoldsInputOutsideItsRange) {
  EXPECT_EQ(normal_quantile(0.0), normal_quantile(1e-300));
  EXPECT_EQ(normal_quantile(1.0), normal_quantile(1.0 - 0x1p-53));
  EXPECT_LT(normal_quantile(0.0), -37.0);
}

TEST(Exp, IsWithinAFewUnitsOfTheLongDoubleFunction) {
  const std::vector<double> x = grid(-708.0, 708.9, 30001);
  std::vector<double> y(x.size());
  numeric::exp(x, y);
  for (std::size_t i = 0; i < x.size(); ++i) {
    ASSERT_LE(relative(y[i], std::exp(static_cast<long double>(x[i]))), 2 * k_epsilon) << x[i];
  }
}

TEST(Exp, HoldsItsArgumentAndUnderflowsGradually) {
  const std::vector<double> x{-1e9, -745.0, -720.0, 709.0, 1e9};
  std::vector<double> y(x.size());
  numeric::exp(x, y);
  EXPECT_EQ(y[0], y[1]);
  EXPECT_NEAR(y[2] / std::exp(-720.0), 1.0, 1e-3);
  EXPECT_EQ(y[3], y[4]);
  EXPECT_TRUE(std::isfinite(y[4]));
}

TEST(Log, IsWithinAFewUnitsOfTheLongDoubleFunction) {
  std::vector<double> x = grid(0.3, 3.0, 20000);
  for (double big = 1e-307; big < 1e307; big *= 1.37) x.push_back(big);
  std::vector<double> y(x.size());
  numeric::log(x, y);
  for (std::size_t i = 0; i < x.size(); ++i) {
    const long double wanted = std::log(static_cast<long double>(x[i]));
    if (wanted == 0.0L) {
      ASSERT_EQ(y[i], 0.0);
    } else {
      ASSERT_LE(relative(y[i], wanted), 2 * k_epsilon) << x[i];
    }
  }
}

TEST(NormalInterval, KeepsItsDigitsForNarrowAndFarIntervals) {
  for (double a = -30.0; a <= 30.0; a += 0.61) {
    for (const double width : {1e-9, 1e-4, 0.03, 0.49, 0.51, 3.0, 40.0}) {
      const double b = a + width;
      // From the nearer tail; a narrow interval's reference is long double quadrature.
      const auto density = [](long double z) {
        return std::exp(-0.5L * z * z) * std::numbers::inv_sqrtpi_v<long double> /
               std::numbers::sqrt2_v<long double>;
      };
      long double wanted = 0.0L;
      if (width < 0.05) {
        wanted = boost::math::quadrature::gauss<long double, 30>::integrate(
            density, static_cast<long double>(a), static_cast<long double>(b));
      } else {
        wanted =
            a > 0.0 ? reference_cdf(-a) - reference_cdf(-b) : reference_cdf(b) - reference_cdf(a);
      }
      ASSERT_LE(relative(normal_interval(a, b), wanted), 1e-14) << a << ' ' << b;
    }
  }
  EXPECT_EQ(normal_interval(1.0, 1.0), 0.0);
  // Narrower than a double can tell the ends apart.
  EXPECT_NEAR(normal_interval(0.0, 1e-20) / 1e-20, std::numbers::inv_sqrtpi / std::numbers::sqrt2,
              1e-15);
  EXPECT_NEAR(normal_interval(-2.5, -2.5, 1e-200) / normal_interval(-2.5, -2.5, 1e-100), 1e-100,
              1e-114);
  EXPECT_EQ(normal_interval(1.0, 2.0, -1.0), 0.0);
}

TEST(Sum, DoesNotDependOnMoreThanTheValuesAndTheirOrder) {
  const std::vector<double> x{1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0};
  EXPECT_EQ(sum(x), 28.0);
  EXPECT_EQ(sum({}), 0.0);
}

}  // namespace
}  // namespace blendrisk::numeric
