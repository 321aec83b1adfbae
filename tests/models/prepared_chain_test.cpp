#include "models/prepared_chain.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace blendrisk::models {
namespace {

Chain random_chain(std::mt19937_64& random, int i) {
  std::uniform_real_distribution<double> exponent(-4.0, 1.0);
  const auto volume = [&] { return random() % 4 == 0 ? 0.0 : std::pow(10.0, exponent(random)); };
  Chain chain{{volume(), volume(), volume()}, volume(), i % 2 == 0 ? Pipe::laminar : Pipe::plug};
  auto& v = chain.stirred_l;
  if (i % 3 == 0) v[1] = v[0];
  if (i % 5 == 0) v[2] = v[1] * (1.0 + 1e-5);
  if (i % 7 == 0) v[1] = v[0] * (1.0 + std::pow(10.0, -3.0 * (exponent(random) + 4.0)));
  if (i % 11 == 0) v = {v[0], v[0], v[0]};
  return chain;
}

TEST(PreparedChain, AgreesWithTheQuadratureWhateverTheVolumes) {
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> exponent(-4.0, 1.0);
  for (int i = 0; i < 30000; ++i) {
    const Chain chain = random_chain(random, i);
    const PreparedChain prepared(chain);
    const double q = std::pow(10.0, exponent(random));
    ASSERT_NEAR(prepared.cdf(q), residence_cdf(chain, q), 1e-9)
        << chain.stirred_l[0] << ' ' << chain.stirred_l[1] << ' ' << chain.stirred_l[2] << ' '
        << chain.pipe_l << ' ' << q;
  }
}

TEST(PreparedChain, QuantileIsTheInverse) {
  std::mt19937_64 random(6);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  for (int i = 0; i < 2000; ++i) {
    const PreparedChain prepared(random_chain(random, i));
    const double share = uniform(random);
    const double q = prepared.quantile(share);
    if (prepared.cdf(0.0) >= share) {
      EXPECT_EQ(q, 0.0);
      continue;
    }
    // Where the law jumps (plug flow alone) the quantile is where it does.
    EXPECT_GE(prepared.cdf(q * (1.0 + 1e-9)), share - 2e-9);
    EXPECT_LE(prepared.cdf(q * (1.0 - 1e-9)), share + 2e-9);
  }
  EXPECT_TRUE(std::isinf(PreparedChain({{0.3, 0.0, 0.0}, 0.0, Pipe::plug}).quantile(1.0)));
}

// Down to shares where the law hardly rises yet, up to where hardly anything remains; volumes of
// which some are small beside the pipe.
TEST(PreparedChain, QuantileHoldsInBothTails) {
  for (const Pipe pipe : {Pipe::laminar, Pipe::plug}) {
    for (const Chain& chain :
         {Chain{{0.4, 0.12, 0.03}, 0.05, pipe}, Chain{{0.2, 0.0, 0.0}, 0.6, pipe},
          Chain{{0.002, 0.0005, 0.0}, 3.0, pipe}, Chain{{5.0, 1.0, 0.0}, 0.0, pipe}}) {
      const PreparedChain prepared(chain);
      for (const double tail : {1e-7, 1e-5, 1e-3, 0.05, 0.3}) {
        for (const double share : {tail, 1.0 - tail}) {
          const double q = prepared.quantile(share);
          EXPECT_GE(prepared.cdf(q * (1.0 + 1e-9)), share - 1e-13) << share << ' ' << q;
          EXPECT_LE(prepared.cdf(q * (1.0 - 1e-9)), share + 1e-13) << share << ' ' << q;
        }
      }
    }
  }
}

TEST(PreparedChain, EndsAreKnown) {
  const PreparedChain none{Chain{}};
  EXPECT_EQ(none.cdf(0.0), 1.0);
  EXPECT_EQ(none.cdf(-1.0), 0.0);
  const PreparedChain tank(Chain{{0.5, 0.0, 0.0}, 0.0, Pipe::plug});
  EXPECT_EQ(tank.cdf(0.0), 0.0);
  EXPECT_EQ(tank.cdf(std::numeric_limits<double>::infinity()), 1.0);
}

// In closed form: a stirred volume 1 − e^{−q/V}; plug flow q/V up to 1; a laminar pipe q/V up to
// V/2, then 1 − V/4q, since 1 − F is (V/2q)².
TEST(PreparedChain, WhatALineHoldsIsRenewed) {
  const PreparedChain stirred(Chain{{0.2, 0.0, 0.0}, 0.0, Pipe::plug});
  const PreparedChain plug(Chain{{0.0, 0.0, 0.0}, 0.2, Pipe::plug});
  const PreparedChain laminar(Chain{{0.0, 0.0, 0.0}, 0.2, Pipe::laminar});
  for (const double q : {0.0, 0.01, 0.09, 0.15, 0.2, 0.31, 1.0, 7.0, 60.0}) {
    EXPECT_NEAR(renewed_share(stirred, 0.2, q), -std::expm1(-q / 0.2), 1e-3) << q;
    EXPECT_NEAR(renewed_share(plug, 0.2, q), std::min(1.0, q / 0.2), 1e-2) << q;
    EXPECT_NEAR(renewed_share(laminar, 0.2, q), q < 0.1 ? q / 0.2 : 1.0 - 0.05 / q, 5e-3) << q;
  }
  EXPECT_EQ(renewed_share(stirred, 0.2, std::numeric_limits<double>::infinity()), 1.0);
  EXPECT_EQ(renewed_share(PreparedChain(), 0.0, 0.0), 1.0);
}

}  // namespace
}  // namespace blendrisk::models
