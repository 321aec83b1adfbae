#include "tank/within_risk.hpp"

#include <gtest/gtest.h>

#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::tank {
namespace {

/// Only the click-off is uncertain, which nothing is conditioned on: cases are counted.
scenario::Scenario counted(double z, const std::string& sd = "2 L") {
  const double minimum = 80.0 - 700.0 / (60.0 - 2.0 * z);
  return testing::scenario_of("[tank]\ncapacity = 80 L\nclick-off = normal(60 L, " + sd +
                              ")\n[heel]\nindicated = 10 L\ncontent = 10 %\n[fuel]\n"
                              "content = 80 %\n[fill]\namount = click-off\n[limits]\nminimum = " +
                              std::to_string(minimum) + " %\naccepted-risk = 1 %\n");
}

// A click-off of T lands at 80 − 700/T %, so that a chance is a normal law's: of the limit at T =
// 60 − 2z it is Φ(−z). The nearest of these is a sixth of the risk away, sixteen standard errors of
// a count to 1 %; a first look is taken at its word only where it is four of its own and a third of
// the risk away: a wrong verdict comes in under 1e-4 of runs, seed fixed. The twin: the same law
// twice as wide turns the verdicts between.
TEST(WithinRisk, CountedVerdictsAreThoseOfTheLaw) {
  for (const double z : {-1.0, 0.0, 1.0, 1.8, 2.1, 2.25, 2.40, 2.6, 3.2, 4.5, 8.0}) {
    const scenario::Scenario scenario = counted(z);
    const sampling::CaseInputs inputs(scenario);
    estimate::Options options;
    options.threads = 1;
    const estimate::Found<bool> within = outside_within_risk(inputs, options);
    EXPECT_TRUE(within.effort.methods.crude) << z;
    EXPECT_EQ(within.value, z > 2.3263) << z;
    if (z > 2.3263 && z < 4.0) {
      EXPECT_FALSE(outside_within_risk(sampling::CaseInputs(counted(z, "4 L")), options).value)
          << z;
    }
    // What is clear takes few cases.
    const bool clear = z < 1.0 || z > 3.0;
    EXPECT_LT(within.effort.evaluations, clear ? 100'000U : 30'000'000U) << z;
  }
}

}  // namespace
}  // namespace blendrisk::tank
