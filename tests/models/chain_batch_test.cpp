#include "models/chain_batch.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace blendrisk::models::chain_batch_test {
namespace {

constexpr double k_ever = std::numeric_limits<double>::infinity();

/// Chains of volumes over five decades, some of them none, some equal or nearly so.
struct Chains {
  std::array<std::vector<double>, 3> stirred;
  std::vector<double> pipe;
  Pipe flow = Pipe::laminar;

  ChainColumns columns() const {
    return {{stirred[0].data(), stirred[1].data(), stirred[2].data()}, pipe.data(), flow};
  }
};

Chains random_chains(std::mt19937_64& random, std::size_t n, Pipe flow) {
  std::uniform_real_distribution<double> exponent(-4.0, 1.0);
  const auto volume = [&] { return random() % 4 == 0 ? 0.0 : std::pow(10.0, exponent(random)); };
  Chains chains;
  chains.flow = flow;
  for (std::size_t i = 0; i < n; ++i) {
    std::array<double, 3> v{volume(), volume(), volume()};
    if (i % 3 == 0) v[1] = v[0];
    if (i % 5 == 0) v[2] = v[1] * (1.0 + 1e-5);
    if (i % 11 == 0) v = {v[0], v[0], v[0]};
    if (i % 17 == 0) v = {};
    for (std::size_t k = 0; k < 3; ++k) chains.stirred[k].push_back(v[k]);
    chains.pipe.push_back(volume());
  }
  return chains;
}

TEST(ChainBatch, AgreesWithTheQuadratureWhateverTheVolumes) {
  std::mt19937_64 random(8);
  std::uniform_real_distribution<double> exponent(-4.0, 1.0);
  constexpr std::size_t n = 300;  // more than are evaluated at a time
  ChainBatch batch;
  for (int round = 0; round < 40; ++round) {
    const Chains chains = random_chains(random, n, round % 2 == 0 ? Pipe::laminar : Pipe::plug);
    batch.prepare(chains.columns(), n);
    std::vector<double> q(n);
    for (double& one : q) one = std::pow(10.0, exponent(random));
    std::vector<double> f(n);
    batch.cdf(q, f);
    for (std::size_t i = 0; i < n; ++i) {
      const Chain chain = chains.columns().chain(i);
      ASSERT_NEAR(f[i], residence_cdf(chain, q[i]), 1e-9)
          << chain.stirred_l[0] << ' ' << chain.stirred_l[1] << ' ' << chain.stirred_l[2] << ' '
          << chain.pipe_l << ' ' << q[i];
    }
  }
}

// Without volumes that are nearly equal no digits are lost.
TEST(ChainBatch, IsThePreparedChainOfEachCase) {
  std::mt19937_64 random(9);
  std::uniform_real_distribution<double> volume(0.01, 0.02);
  for (const Pipe flow : {Pipe::laminar, Pipe::plug}) {
    constexpr std::size_t n = 200;
    Chains chains;
    chains.flow = flow;
    for (std::size_t i = 0; i < n; ++i) {
      chains.stirred[0].push_back(volume(random));
      chains.stirred[1].push_back(10.0 * volume(random));
      chains.stirred[2].push_back(100.0 * volume(random));
      chains.pipe.push_back(3.0 * volume(random));
    }
    ChainColumns columns = chains.columns();
    for (int without = 3; without >= 0; --without) {
      if (without < 3) columns.stirred_l[static_cast<std::size_t>(without)] = nullptr;
      ChainBatch batch;
      batch.prepare(columns, n);
      std::vector<double> q(n);
      std::vector<double> f(n);
      for (const double factor : {0.2, 1.0, 7.0, 60.0}) {
        for (std::size_t i = 0; i < n; ++i) q[i] = factor * volume(random);
        batch.cdf(q, f);
        for (std::size_t i = 0; i < n; ++i) {
          EXPECT_NEAR(f[i], PreparedChain(columns.chain(i)).cdf(q[i]), 1e-13) << without << q[i];
        }
      }
    }
  }
}

TEST(ChainBatch, QuantileIsTheInverseInBothTails) {
  std::mt19937_64 random(10);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  constexpr std::size_t n = 300;
  ChainBatch batch;
  for (int round = 0; round < 20; ++round) {
    const Chains chains = random_chains(random, n, round % 2 == 0 ? Pipe::laminar : Pipe::plug);
    batch.prepare(chains.columns(), n);
    std::vector<double> share(n);
    std::vector<double> q(n);
    for (std::size_t i = 0; i < n; ++i) {
      const double tail = std::pow(10.0, -7.0 * uniform(random));
      share[i] = i % 3 == 0 ? tail : i % 3 == 1 ? 1.0 - tail : uniform(random);
    }
    batch.quantile(share, q);
    for (std::size_t i = 0; i < n; ++i) {
      const PreparedChain chain(chains.columns().chain(i));
      if (chain.cdf(0.0) >= share[i]) {
        EXPECT_EQ(q[i], 0.0);
        continue;
      }
      // Where the law jumps (plug flow alone) the quantile is where it does.
      EXPECT_GE(chain.cdf(q[i] * (1.0 + 1e-9)), share[i] - 2e-9) << i << ' ' << share[i];
      EXPECT_LE(chain.cdf(q[i] * (1.0 - 1e-9)), share[i] + 2e-9) << i << ' ' << share[i];
    }
  }
}

TEST(ChainBatch, EndsAreKnown) {
  const std::vector<double> volume{0.5, 0.0, 0.0};
  const std::vector<double> pipe{0.0, 0.0, 0.2};
  for (const Pipe flow : {Pipe::laminar, Pipe::plug}) {
    ChainBatch batch;
    batch.prepare({{nullptr, volume.data(), nullptr}, pipe.data(), flow}, 3);
    std::vector<double> f(3);
    batch.cdf(std::vector<double>(3, 0.0), f);
    EXPECT_EQ(f, (std::vector<double>{0.0, 1.0, 0.0}));
    batch.cdf(std::vector<double>(3, -1.0), f);
    EXPECT_EQ(f, std::vector<double>(3, 0.0));
    batch.cdf(std::vector<double>(3, k_ever), f);
    EXPECT_EQ(f, std::vector<double>(3, 1.0));
    std::vector<double> q(3);
    batch.quantile(std::vector<double>(3, 1.0), q);
    EXPECT_EQ(q, (std::vector<double>{k_ever, 0.0, k_ever}));
    batch.quantile(std::vector<double>(3, 0.75), q);
    EXPECT_NEAR(q[0], 0.5 * std::log(4.0), 1e-10);
    EXPECT_EQ(q[1], 0.0);
    EXPECT_NEAR(q[2], 0.2, 1e-10);  // of a laminar pipe V/2/sqrt(1 - share), which is V here
  }
}

}  // namespace
}  // namespace blendrisk::models::chain_batch_test
