#include "estimate/parallel.hpp"

#include <gtest/gtest.h>

#include <chrono>
#include <numeric>
#include <stdexcept>
#include <string>

namespace blendrisk::estimate {
namespace {

TEST(InParallel, EveryUnitRunsOnce) {
  for (const unsigned threads : {1U, 2U, 5U}) {
    std::vector<int> runs(1000, 0);
    in_parallel(runs.size(), threads, [&] { return [&](std::size_t unit) { ++runs[unit]; }; });
    EXPECT_EQ(std::accumulate(runs.begin(), runs.end(), 0), 1000);
    EXPECT_EQ(std::ranges::count(runs, 1), 1000);
  }
}

// The lowest unit that fails is the slowest, so that later ones have failed before it.
TEST(InParallel, TheLowestFailureIsToldOnAnyNumberOfThreads) {
  constexpr std::size_t k_lowest = 7;
  for (const unsigned threads : {1U, 2U, 3U, 8U}) {
    for (int repeat = 0; repeat < 20; ++repeat) {
      std::string told;
      try {
        in_parallel(100, threads, [&] {
          return [&](std::size_t unit) {
            if (unit == k_lowest) std::this_thread::sleep_for(std::chrono::milliseconds(1));
            if (unit >= k_lowest) throw std::runtime_error(std::to_string(unit));
          };
        });
      } catch (const std::runtime_error& error) {
        told = error.what();
      }
      ASSERT_EQ(told, "7") << threads;
    }
  }
}

}  // namespace
}  // namespace blendrisk::estimate
