#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "decide/heel.hpp"
#include "tank/chance.hpp"
#include "tests/scenarios.hpp"
#include "text/error.hpp"

// The gauge read away from the pump, and the way there. Invented cars.
namespace blendrisk::tank::way_test {
namespace {

// Held nowhere: 8 L and more stay far from both ends but for the tail that is asked for.
constexpr const char* k_car = R"([tank]
capacity = 60 L
pickup-floor = 1 L
[heel]
now = 12 L
to-pump = 80 km
gauge-error = normal(0.2 L, 1.2 L)
content = 10 %
[fuel]
content = normal(78 %, 2 %)
[engine]
economy = normal(8.5 L/100km, 1.5 L/100km)
[limits]
minimum = 62 %
)";

// A normal gauge and a normal economy over an exact distance: the heel is normal with mean
// 12 + 0.2 − 80 × 0.085 L and variance 1.2² + (80 × 0.015)² L².
double chance_dry(double distance_km) {
  const double mean = 12.2 - distance_km * 0.085;
  const double sd = std::hypot(1.2, distance_km * 0.015);
  return 0.5 * std::erfc((mean - 1.0) / sd / std::sqrt(2.0));
}

TEST(WayToThePump, ChanceOfRunningDryIsTheClosedForm) {
  for (const char* distance : {"40 km", "80 km", "100 km", "120 km"}) {
    const auto scenario = testing::scenario_of(k_car, {{"heel.to-pump", distance}});
    const double truth = chance_dry(std::stod(distance));
    estimate::Options options;
    options.precision = 0.003;
    const auto dry = estimate_run_dry(scenario, options);
    // Four intervals of 95 %, each half of them to both sides again: one false alarm in 1000.
    EXPECT_NEAR(dry.chance, truth, 4.5 * dry.standard_error + 1e-9) << distance;
    EXPECT_LT(dry.standard_error, 0.05 * truth) << distance;
    // The twin: what the gauge alone would tell at the mean of the way.
    const double gauge_alone =
        0.5 * std::erfc((11.2 - std::stod(distance) * 0.085) / 1.2 / std::sqrt(2.0));
    EXPECT_GT(std::abs(gauge_alone - truth), 4.5 * dry.standard_error) << distance;
  }
}

TEST(WayToThePump, CountingAgrees) {
  const auto scenario = testing::scenario_of(
      k_car, {{"heel.to-pump", "uniform(70 km, 110 km)"}, {"fill.amount", "40 L"}});
  estimate::Options counted;
  counted.method = estimate::Method::crude;
  counted.cases = 1'000'000;
  const auto by_counting = estimate_chance(scenario, counted);
  const auto result = estimate_chance(scenario, {});
  const auto near = [](const estimate::Estimate& a, const estimate::Estimate& b) {
    EXPECT_NEAR(a.chance, b.chance, 4.0 * std::hypot(a.standard_error, b.standard_error));
  };
  near(by_counting.run_dry, result.run_dry);
  near(by_counting.outside, result.outside);
  EXPECT_NEAR(by_counting.landed.mean, result.landed.mean, 1e-3);
}

TEST(WayToThePump, AnExactWayIsTheReadingLessIt) {
  const auto away = testing::scenario_of(k_car, {{"engine.economy", "8.5 L/100km"}});
  std::string there = k_car;
  there.replace(there.find("now = 12 L\nto-pump = 80 km"), 26, "indicated = 5.2 L");
  const auto at = testing::scenario_of(
      there.erase(there.find("[engine]"), there.find("[limits]") - there.find("[engine]")));
  const auto one = estimate_chance(away, {});
  const auto other = estimate_chance(at, {});
  EXPECT_NEAR(one.outside.chance, other.outside.chance, 1e-9);
  EXPECT_NEAR(one.run_dry.chance, other.run_dry.chance, 1e-6 + 4.0 * one.run_dry.standard_error);
}

TEST(WayToThePump, HeelTellsHowFarToDrive) {
  const auto scenario = testing::scenario_of(k_car);
  const auto result = decide::solve_heel(scenario, {}, 0.1);
  ASSERT_TRUE(result.highest_indicated_l && result.drive && result.drive->median_km);
  EXPECT_NEAR(*result.drive->median_km, (12.0 - *result.highest_indicated_l) / 0.085, 1e-9);
  ASSERT_TRUE(result.drive->farthest_km);
  // Within 1 % of the dry risk, as the points tell it.
  EXPECT_LE(chance_dry(*result.drive->farthest_km), 0.01 * 1.02);
  EXPECT_GE(chance_dry(*result.drive->farthest_km + 1.0), 0.01 * 0.98);
}

// Without a pickup floor as far as there is fuel at all.
TEST(WayToThePump, HeelTellsTheFarthestToAnEmptyTank) {
  const auto scenario = testing::scenario_of(k_car, {{"tank.pickup-floor", "0 L"}});
  const auto result = decide::solve_heel(scenario, {}, 0.1);
  ASSERT_TRUE(result.drive && result.drive->farthest_km);
  const auto empty = [](double km) {
    return 0.5 * std::erfc((12.2 - km * 0.085) / std::hypot(1.2, km * 0.015) / std::sqrt(2.0));
  };
  EXPECT_LE(empty(*result.drive->farthest_km), 0.01 * 1.02);
  EXPECT_GE(empty(*result.drive->farthest_km + 1.0), 0.01 * 0.98);
}

// The gauge's error is in both readings: they differ by what the way burned, and the heel is by the
// second. By counting: of the cases of the way those that burned what the readings differ by.
TEST(WayToThePump, ASecondLookLeavesTheHeelToTheSecondReading) {
  std::mt19937_64 random(7);
  std::normal_distribution<double> normal;
  double count = 0.0;
  double sum = 0.0;
  double squares = 0.0;
  double dry = 0.0;
  for (int i = 0; i < 4'000'000; ++i) {
    const double error = 0.2 + 1.2 * normal(random);
    const double burned = (80.0 + 6.0 * normal(random)) * (0.085 + 0.015 * normal(random));
    if (std::abs(burned - 7.5) > 0.05) continue;
    const double heel = std::max(4.5 + error, 0.0);
    ++count;
    sum += heel;
    squares += heel * heel;
    dry += heel < 1.0 ? 1.0 : 0.0;
  }
  const double mean = sum / count;
  const auto again = testing::scenario_of(
      k_car, {{"heel.to-pump", "normal(80 km, 6 km)"}, {"heel.indicated", "4.5 L"}});
  const auto result = estimate_chance(again, {});
  // Two comparisons at 4 standard errors of the count: one false alarm in 8000.
  const double error = std::sqrt((squares / count - mean * mean) / count);
  EXPECT_NEAR(result.landed.mean, 0.78 - 0.68 * mean / 60.0, 4.0 * 0.68 * error / 60.0 + 1e-6);
  EXPECT_NEAR(result.run_dry.chance, dry / count, 4.0 * std::sqrt(dry) / count);
  // The twin: without the second look the way's spread is in it.
  const auto once =
      estimate_chance(testing::scenario_of(k_car, {{"heel.to-pump", "normal(88.2 km, 6 km)"}}), {});
  EXPECT_GT(once.run_dry.chance, 1.5 * result.run_dry.chance);
}

// The share held at an end is that of the heel's own law.
TEST(WayToThePump, HeldIsWhatTheWayAndTheGaugeLeave) {
  const auto scenario = testing::scenario_of(k_car, {{"heel.to-pump", "100 km"}});
  const sampling::CaseInputs inputs(scenario);
  const double below = 0.5 * std::erfc((12.2 - 8.5) / std::hypot(1.2, 1.5) / std::sqrt(2.0));
  EXPECT_NEAR(inputs.clamped_share(sampling::Slot::gauge_error), below, 1e-6);
}

// A figure is evidence of what the way burned.
TEST(WayToThePump, AFigureTellsOfTheWay) {
  const auto scenario = testing::scenario_of(k_car, {{"fill.shown", "56 L"},
                                                     {"fill.stopped-by", "click-off"},
                                                     {"fuel.meter-error", "normal(0 %, 0.2 %)"}});
  const auto result = estimate_chance(scenario, {});
  ASSERT_TRUE(result.learned);
  // Before: 12.2 − 80 × 0.085 L. After: 60 − 56 L, but for the meter.
  EXPECT_NEAR(result.learned->heel_before_l[2], 5.4, 0.05);
  EXPECT_NEAR(result.learned->heel_after_l[2], 4.0, 0.05);
}

constexpr const char* k_tied = "[correlation]\nheel.gauge-error, engine.economy = 0.6\n";

// An exact distance of 80 km from 10 L to 2.5 L is an economy of 7.5 / 80 L/km. A gauge's error
// that moves with it, by r = 2 sin(π 0.6 / 6) in scores, is then normal with mean 0.2 + r 1.2 z and
// standard deviation 1.2 √(1 − r²) L, z the economy's score.
TEST(WayToThePump, ASecondLookTellsOfAGaugeThatMovesWithTheEconomy) {
  const auto scenario = testing::scenario_of(std::string(k_car) + k_tied,
                                             {{"heel.now", "10 L"}, {"heel.indicated", "2.5 L"}});
  const double r = 2.0 * std::sin(std::numbers::pi * 0.1);
  const double z = (7.5 / 80.0 - 0.085) / 0.015;
  const double mean = 2.5 + 0.2 + r * 1.2 * z;
  const double sd = 1.2 * std::sqrt(1.0 - r * r);
  const double dry = 0.5 * std::erfc((mean - 1.0) / sd / std::sqrt(2.0));
  estimate::Options options;
  options.precision = 0.003;
  const auto told = estimate_run_dry(scenario, options);
  EXPECT_NEAR(told.chance, dry, 4.0 * told.standard_error);
  EXPECT_LT(told.standard_error, 0.05 * dry);
  const auto result = estimate_chance(scenario, {});
  // From 8192 points or more, of a standard deviation of 2.3 %: 4 standard errors at most. The way
  // moves it by five times as much.
  EXPECT_NEAR(result.landed.mean, 0.78 - 0.68 * mean / 60.0, 1e-3);
  EXPECT_FALSE(result.learned);
  estimate::Options counted;
  counted.method = estimate::Method::crude;
  counted.cases = 4'000'000;
  const auto by_counting = estimate_chance(scenario, counted);
  EXPECT_NEAR(by_counting.run_dry.chance, dry, 4.0 * by_counting.run_dry.standard_error);
  // The twin: as if the way told nothing.
  const double alone = 0.5 * std::erfc((2.7 - 1.0) / 1.2 / std::sqrt(2.0));
  EXPECT_GT(std::abs(alone - dry), 8.0 * told.standard_error);
}

// Both the second look and a figure, by counting.
TEST(WayToThePump, ASecondLookAndAFigureTellTogether) {
  const auto scenario =
      testing::scenario_of(std::string(k_car) + k_tied, {{"heel.to-pump", "normal(80 km, 6 km)"},
                                                         {"tank.click-off", "normal(60 L, 0.5 L)"},
                                                         {"heel.indicated", "4.5 L"},
                                                         {"fill.shown", "55 L"},
                                                         {"fill.stopped-by", "click-off"}});
  const auto result = estimate_chance(scenario, {});
  ASSERT_TRUE(result.learned);
  std::mt19937_64 random(11);
  std::normal_distribution<double> normal;
  const double r = 2.0 * std::sin(std::numbers::pi * 0.1);
  double count = 0.0;
  double sum = 0.0;
  double squares = 0.0;
  for (int i = 0; i < 4'000'000; ++i) {
    const double z = normal(random);
    const double error = 0.2 + 1.2 * (r * z + std::sqrt(1.0 - r * r) * normal(random));
    const double burned = (80.0 + 6.0 * normal(random)) * (0.085 + 0.015 * z);
    if (std::abs(burned - 7.5) > 0.1) continue;
    const double heel = 4.5 + error;
    if (std::abs(60.0 + 0.5 * normal(random) - heel - 55.0) > 0.05) continue;
    ++count;
    sum += heel;
    squares += heel * heel;
  }
  const double mean = sum / count;
  const double sd = std::sqrt(squares / count - mean * mean);
  // The median of what is nearly normal has an error π/2 times as large in variance; 5 of them.
  EXPECT_NEAR(result.learned->heel_after_l[2], mean, 5.0 * 1.26 * sd / std::sqrt(count) + 0.005);
}

TEST(WayToThePump, WhatIsTiedToTheWayIsNotPlannedWith) {
  const auto refused = [](const char* reading, estimate::Impossible why, const auto& ask) {
    try {
      ask(testing::scenario_of(std::string(k_car) + k_tied, {{"heel.indicated", reading}}));
      ADD_FAILURE() << reading;
    } catch (const estimate::ImpossibleScenario& refusal) {
      EXPECT_EQ(refusal.why, why);
    }
  };
  const auto chance = [](const auto& scenario) { estimate_chance(scenario, {}); };
  refused("4.5 L", estimate::Impossible::look_to_plan,
          [](const auto& scenario) { decide::solve_heel(scenario, {}, 0.1); });
  refused("11.9 L", estimate::Impossible::second_look, chance);
}

TEST(WayToThePump, ContradictionsAreRefusedInOneLine) {
  const std::pair<std::vector<scenario::Override>, const char*> wrong[] = {
      {{{"heel.indicated", "12.1 L"}}, "is more than heel.now"},
      {{{"heel.indicated", "11.9 L"}}, "all but exclude"},
      {{{"heel.indicated", "0.1 L"}, {"heel.to-pump", "40 km"}}, "all but exclude"},
      {{{"heel.now", "61 L"}}, "heel.now: leaves more in the tank than tank.capacity"},
      {{{"engine.economy", "normal(12 km/L, 1 km/L)"}}, "counts distance by fuel"},
      {{{"heel.reserve", "1 L"}}, "is given beside heel.now"},
      {{{"heel.gauge-step", "61 L"}}, "heel.gauge-step: is more than tank.capacity"},
  };
  for (const auto& [overrides, why] : wrong) {
    try {
      testing::scenario_of(k_car, overrides);
      ADD_FAILURE() << why;
    } catch (const text::Error& error) {
      EXPECT_NE(std::string(error.what()).find(why), std::string::npos) << error.what();
    }
  }
  // A needle in eighths tells too little of the way to exclude it; where cases have weights it may
  // not step.
  const std::vector<scenario::Override> eighths{{"heel.indicated", "11.9 L"},
                                                {"heel.gauge-step", "1/8 tank"}};
  EXPECT_NO_THROW(testing::scenario_of(k_car, eighths));
  EXPECT_THROW(testing::scenario_of(std::string(k_car) + k_tied, eighths), text::Error);
  std::string car = k_car;
  EXPECT_THROW(testing::scenario_of(car.replace(car.find("to-pump = 80 km\n"), 16, "")),
               text::Error);
  car = std::string(k_car) + "[correlation]\nheel.gauge-error, engine.economy = 0.5\n";
  car = k_car;
  EXPECT_THROW(testing::scenario_of(car.replace(car.find("now = 12 L"), 10, "indicated = 12 L")),
               text::Error);
}

}  // namespace
}  // namespace blendrisk::tank::way_test
