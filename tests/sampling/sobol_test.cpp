#include "sampling/sobol.hpp"

#include <gtest/gtest.h>

#include <array>
#include <boost/random/sobol.hpp>
#include <cmath>
#include <numeric>
#include <set>
#include <vector>

namespace blendrisk::sampling {
namespace {

std::vector<double> scrambled(std::uint32_t first, std::size_t n, std::size_t dimension,
                              std::uint64_t key) {
  std::vector<double> u(n);
  scrambled_sobol(first, dimension, key, u);
  return u;
}

// The first points in three dimensions as Joe and Kuo print them beside their direction numbers
// (SIAM J. Sci. Comput. 30, 2008, and their web page; from memory), in Gray code order.
TEST(Sobol, FirstPointsAsPublished) {
  const double published[10][3] = {{0.0, 0.0, 0.0},          {0.5, 0.5, 0.5},
                                   {0.75, 0.25, 0.25},       {0.25, 0.75, 0.75},
                                   {0.375, 0.375, 0.625},    {0.875, 0.875, 0.125},
                                   {0.625, 0.125, 0.875},    {0.125, 0.625, 0.375},
                                   {0.1875, 0.3125, 0.9375}, {0.6875, 0.8125, 0.4375}};
  for (std::uint32_t i = 0; i < 10; ++i) {
    const std::uint32_t gray = i ^ (i >> 1U);
    for (std::size_t d = 0; d < 3; ++d) {
      EXPECT_EQ(sobol_bits(gray, d) * 0x1p-32, published[i][d]) << i << ' ' << d;
    }
  }
}

// boost::random::sobol draws in Gray code order and leaves out the zero point.
TEST(Sobol, EveryDimensionIsBoostsBitForBit) {
  boost::random::sobol_engine<std::uint32_t, 32> boost_points(k_max_dimensions);
  for (std::uint32_t i = 1; i < 5000; ++i) {
    for (std::size_t d = 0; d < k_max_dimensions; ++d) {
      ASSERT_EQ(sobol_bits(i ^ (i >> 1U), d), boost_points()) << i << ' ' << d;
    }
  }
}

TEST(Sobol, DigitsAreThePointsWhereverTheyStart) {
  for (const std::uint32_t first : {0U, 1U, 7U, 1024U, 1536U, 0x80000000U}) {
    std::vector<std::uint32_t> x(300);
    sobol_digits(first, 5, x);
    for (std::uint32_t i = 0; i < 300; ++i) {
      std::uint32_t reversed = 0;
      for (unsigned bit = 0; bit < 32; ++bit) reversed |= ((x[i] >> bit) & 1U) << (31U - bit);
      ASSERT_EQ(reversed, sobol_bits(first + i, 5)) << first << ' ' << i;
    }
  }
}

// Each of 2^m equal intervals holds one of 2^m points, for any block that starts at a multiple.
TEST(Sobol, ScramblingKeepsEachCoordinateStratified) {
  for (const std::uint32_t first : {0U, 4096U}) {
    for (std::size_t d = 0; d < k_max_dimensions; ++d) {
      std::set<int> bins;
      for (const double u : scrambled(first, 1024, d, 77 + d)) {
        ASSERT_GT(u, 0.0);
        ASSERT_LT(u, 1.0);
        bins.insert(static_cast<int>(u * 1024.0));
      }
      ASSERT_EQ(bins.size(), 1024U) << d;
    }
  }
}

// The first two dimensions are a (0, m, 2)-net: every box 2^-a by 2^-(m - a) holds one point.
TEST(Sobol, ScramblingKeepsTheNetInTwoDimensions) {
  constexpr int m = 8;
  const auto x = scrambled(0, 1U << m, 0, 3);
  const auto y = scrambled(0, 1U << m, 1, 4);
  for (int a = 0; a <= m; ++a) {
    std::set<std::pair<int, int>> boxes;
    for (std::size_t i = 0; i < x.size(); ++i) {
      boxes.emplace(static_cast<int>(std::ldexp(x[i], a)),
                    static_cast<int>(std::ldexp(y[i], m - a)));
    }
    EXPECT_EQ(boxes.size(), x.size()) << a;
  }
}

// A single point over many scramblings is uniform: chi-square over 64 bins, 63 degrees of freedom,
// whose 1e-6 point is 133 (Wilson and Hilferty). False alarms: 1e-6 each of 6, seeds fixed.
TEST(Sobol, AScrambledPointIsUniform) {
  constexpr int n = 64000;
  for (const std::uint32_t index : {0U, 1U, 37U}) {
    for (const std::size_t d : {std::size_t{0}, std::size_t{11}}) {
      std::array<int, 64> count{};
      for (std::uint64_t key = 0; key < n; ++key) {
        ++count[static_cast<std::size_t>(scrambled(index, 1, d, key)[0] * 64.0)];
      }
      double chi = 0.0;
      for (const int c : count) chi += (c - 1000.0) * (c - 1000.0) / 1000.0;
      EXPECT_LT(chi, 133.0) << index << ' ' << d;
    }
  }
}

// The error of the mean of a smooth product falls much faster than that of independent points:
// at 4096 points its standard deviation over 64 scramblings is below a twentieth.
TEST(Sobol, ScrambledPointsIntegrateASmoothFunctionWell) {
  constexpr std::size_t n = 4096;
  double squares = 0.0;
  for (std::uint64_t key = 0; key < 64; ++key) {
    std::vector<double> product(n, 1.0);
    for (std::size_t d = 0; d < 4; ++d) {
      const auto u = scrambled(0, n, d, key * 16 + d);
      for (std::size_t i = 0; i < n; ++i) product[i] *= 1.0 + (u[i] - 0.5);
    }
    const double error = std::accumulate(product.begin(), product.end(), 0.0) / n - 1.0;
    squares += error * error;
  }
  const double independent = std::sqrt((std::pow(13.0 / 12.0, 4) - 1.0) / n);
  EXPECT_LT(std::sqrt(squares / 64), independent / 20.0);
}

}  // namespace
}  // namespace blendrisk::sampling
