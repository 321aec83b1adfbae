#include "tank/landed_distribution.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tank/chance.hpp"
#include "tank/condition.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::tank {
namespace {

estimate::Landed landed_of(const scenario::Scenario& scenario, std::uint64_t seed,
                           bool to_an_error = true) {
  const sampling::CaseInputs inputs(scenario);
  return estimate_landed(inputs, condition_of(inputs).content, seed, to_an_error).value;
}

// Over ten seeds the quantiles scatter by no more than their errors say, or 2e-5 where these are
// less: a scatter of nine degrees of freedom exceeds twice what it estimates once in 20 000
// comparisons. Without the further points those of two fills from one supplier, which hang together
// through all inputs, scatter by ten times as much, and say so.
TEST(LandedDistribution, QuantilesScatterAsTheirErrorsSay) {
  for (const char* name : {"sedan.ini", "back-to-gasoline.ini", "hatchback-metered.ini",
                           "wagon-at-the-pump.ini", "van-one-supplier.ini"}) {
    const scenario::Scenario scenario = testing::example(name);
    for (const bool to_an_error : {true, false}) {
      constexpr int k_draws = 10;
      std::array<std::array<double, k_draws>, 5> quantiles{};
      double error = 0.0;
      for (int seed = 0; seed < k_draws; ++seed) {
        const estimate::Landed landed =
            landed_of(scenario, 100 + static_cast<std::uint64_t>(seed), to_an_error);
        for (std::size_t i = 0; i < 5; ++i) {
          quantiles[i][static_cast<std::size_t>(seed)] = landed.quantiles[i];
        }
        error = std::max(error, landed.error);
      }
      double scatter = 0.0;
      for (const auto& values : quantiles) {
        double mean = 0.0;
        for (const double value : values) mean += value / k_draws;
        double squares = 0.0;
        for (const double value : values) squares += (value - mean) * (value - mean);
        scatter = std::max(scatter, std::sqrt(squares / (k_draws - 1)));
      }
      EXPECT_LT(scatter, 2.0 * std::max(error, 2e-5)) << name;
      if (to_an_error) {
        EXPECT_LT(error, 6e-5) << name;
      }
    }
  }
}

// Both ways of knowing a quantile: uniform content from the pump and all else exact.
TEST(LandedDistribution, QuantilesOfAUniformPump) {
  const scenario::Scenario scenario = testing::scenario_of(
      "[tank]\ncapacity = 50 L\n[heel]\nindicated = 10 L\ncontent = 10 %\n[fuel]\n"
      "content = uniform(70 %, 80 %)\n[limits]\nminimum = 60 %\n");
  const sampling::CaseInputs inputs(scenario);
  const auto conditioned = condition_of(inputs).content;
  ASSERT_TRUE(conditioned);
  const auto told = estimate_landed(inputs, conditioned, 1).value;
  const auto drawn = estimate_landed(inputs, {}, 1).value;
  for (std::size_t i = 0; i < 5; ++i) {
    const double exact = 0.2 * 0.1 + 0.8 * (0.7 + 0.1 * estimate::k_quantile_orders[i]);
    EXPECT_NEAR(told.quantiles[i], exact, 1e-6);
    EXPECT_NEAR(drawn.quantiles[i], exact, 5.0 * std::max(drawn.error, 1e-5));
  }
}

// Quantiles and moments against sums over many crude cases, and the quantiles against the chance
// of landing below them. 5 standard errors: false alarms 6e-7 each.
TEST(Chance, LandedContentAgreesWithCounting) {
  for (const char* name : {"benchmark.ini", "wagon-reading.ini", "hatchback-metered.ini"}) {
    const auto scenario = testing::example(name);
    const estimate::Landed smooth = estimate_chance(scenario, {}).landed;
    estimate::Options crude;
    crude.method = estimate::Method::crude;
    crude.cases = 1'000'000;
    const estimate::Landed counted_crudely = estimate_chance(scenario, crude).landed;
    const double sd = counted_crudely.standard_deviation;
    EXPECT_NEAR(smooth.mean, counted_crudely.mean, 5.0 * sd / 1000.0) << name;
    // The variance of a sample variance is below 2 σ⁴ (κ + 2)/2n with κ < 3 here.
    EXPECT_NEAR(smooth.standard_deviation / sd, 1.0, 5.0 * 1.2 / 1000.0) << name;
    for (std::size_t i = 0; i < estimate::k_quantile_orders.size(); ++i) {
      const double order = estimate::k_quantile_orders[i];
      const auto below =
          estimate_side(scenario, {estimate::Side::below, smooth.quantiles[i]}, {}).estimate;
      EXPECT_NEAR(below.chance, order, 5.0 * below.standard_error + 2e-4) << name << ' ' << order;
    }
  }
}

}  // namespace
}  // namespace blendrisk::tank
