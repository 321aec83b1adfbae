#include "models/lagged_batch.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "models/sensor.hpp"

namespace blendrisk::models::lagged_batch_test {
namespace {

constexpr double k_ever = std::numeric_limits<double>::infinity();
constexpr std::size_t k_cases = 60;

/// Lines whose rates differ from case to case, some of which stand still in a phase.
struct Lines {
  explicit Lines(std::size_t phases) : rate(phases, std::vector<double>(k_cases)) {
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> uniform(0.5, 1.5);
    for (std::size_t i = 0; i < k_cases; ++i) {
      reservoir.push_back(i % 7 == 0 ? 0.0 : 0.3 * uniform(random));
      filter.push_back(i % 7 == 0 ? 0.0 : 0.1 * uniform(random));
      pipe.push_back(i % 14 == 0 ? 0.0 : 0.1 * uniform(random));
      for (std::vector<double>& one : rate) {
        one[i] = random() % 5 == 0 ? 0.0 : 0.5e-3 * uniform(random);
      }
    }
  }

  ChainColumns columns() const {
    return {{reservoir.data(), filter.data(), nullptr}, pipe.data(), Pipe::laminar};
  }

  std::vector<double> reservoir, filter, pipe;
  std::vector<std::vector<double>> rate;
};

TEST(LaggedBatch, IsTheLaggedShareOfEachCase) {
  const std::vector<double> durations{90.0, 30.0, 200.0, k_ever};
  for (std::size_t phases = 1; phases <= durations.size(); ++phases) {
    for (const double lag_s : {0.0, 5.0, 40.0}) {
      const Lines lines(phases);
      std::vector<RateColumn> columns;
      for (std::size_t k = 0; k < phases; ++k) {
        const std::size_t last = durations.size() - phases + k;
        columns.push_back({lines.rate[k].data(), durations[last]});
      }
      LaggedBatch batch;
      batch.prepare(lines.columns(), columns, lag_s, k_cases);
      std::vector<double> share(k_cases);
      for (const double q : {0.0, 0.02, 0.06, 0.11, 0.2, 0.5, 2.0}) {
        batch.at(std::vector<double>(k_cases, q), share);
        for (std::size_t i = 0; i < k_cases; ++i) {
          std::vector<RatePhase> one;
          for (const RateColumn& column : columns) {
            one.push_back({column.rate_l_per_s[i], column.duration_s});
          }
          LaggedShare alone;
          alone.prepare(lines.columns().chain(i), one, lag_s);
          EXPECT_NEAR(share[i], alone.at(q), 2e-10) << phases << ' ' << lag_s << ' ' << i;
        }
      }
    }
  }
}

}  // namespace
}  // namespace blendrisk::models::lagged_batch_test
