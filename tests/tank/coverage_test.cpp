#include <gtest/gtest.h>

#include <cmath>

#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

// Whether 95 % intervals hold the exact chance as often as they say, over 1000 seeds.
namespace blendrisk::tank {
namespace {

constexpr int k_seeds = 1000;

struct Covered {
  int by_interval = 0;
  int by_half = 0;  ///< by an interval half as wide
};

Covered cover(const testing::KnownChance& known, estimate::Options options) {
  const auto scenario = testing::example(
      "benchmark.ini", {{"limits.minimum", std::to_string(100 * known.limit) + " %"}});
  Covered covered;
  for (int seed = 1; seed <= k_seeds; ++seed) {
    options.seed = static_cast<std::uint64_t>(seed);
    const estimate::Estimate e =
        options.method == estimate::Method::crude
            ? *estimate_chance(scenario, options).below_minimum
            : estimate_side(scenario, {estimate::Side::below, known.limit}, options).estimate;
    const double middle = 0.5 * (e.interval[0] + e.interval[1]);
    const double half = 0.5 * (e.interval[1] - e.interval[0]);
    const double off = std::abs(known.chance - middle);
    covered.by_interval += off <= half ? 1 : 0;
    covered.by_half += off <= 0.5 * half ? 1 : 0;
  }
  return covered;
}

// 930 to 970 of 1000: an honest 95 % leaves that range in 0.4 % of trials; seeds fixed. The twin:
// half as wide an interval (true cover about 70 %) falls outside it.
void expect_honest(const char* what, const testing::KnownChance& known,
                   const estimate::Options& options) {
  const Covered covered = cover(known, options);
  std::printf("%s, limit %.2f: %d of %d hold the exact chance\n", what, known.limit,
              covered.by_interval, k_seeds);
  EXPECT_GE(covered.by_interval, 930) << what << ' ' << known.limit;
  EXPECT_LE(covered.by_interval, 970) << what << ' ' << known.limit;
  EXPECT_LT(covered.by_half, 930) << what << ' ' << known.limit;
}

TEST(Coverage, SlowConditionalAtFivePercent) {
  estimate::Options options;
  options.threads = 1;
  options.precision = 0.05;
  for (const auto& known : testing::k_benchmark) expect_honest("conditional, 5 %", known, options);
}

// A precision that takes a second round, whose size hangs on the first.
TEST(Coverage, SlowConditionalWithGrowth) {
  estimate::Options options;
  options.threads = 1;
  options.precision = 0.001;
  for (const auto& known : testing::k_benchmark)
    expect_honest("conditional, 0.1 %", known, options);
}

TEST(Coverage, SlowCrudeAtFivePercent) {
  estimate::Options options;
  options.threads = 1;
  options.precision = 0.05;
  options.method = estimate::Method::crude;
  expect_honest("crude, 5 %", testing::k_benchmark[0], options);
}

}  // namespace
}  // namespace blendrisk::tank
