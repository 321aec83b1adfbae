#include "learn/sensor_law.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "tests/learn/coverage.hpp"

namespace blendrisk::learn::sensor_law_test {
namespace {

using testing::Claim;
using testing::Coverage;

// J. M. Bland and D. G. Altman, Lancet 1986, table 1: peak flow of 17 people by two meters; mean
// and standard deviation of the differences recomputed from the table.
TEST(SensorLaw, PairedRecordsOfTwoMeters) {
  const std::vector<double> first = {494, 395, 516, 434, 476, 557, 413, 442, 650,
                                     433, 417, 656, 267, 478, 178, 423, 427};
  const std::vector<double> second = {512, 430, 520, 428, 500, 600, 364, 380, 658,
                                      445, 432, 626, 260, 477, 259, 350, 451};
  std::vector<SensorCheck> checks;
  for (std::size_t i = 0; i < first.size(); ++i) checks.push_back({0, first[i], second[i]});
  const LawOfSensor law = sensor_laws(checks, {}).cars.front();
  EXPECT_NEAR(law.mean, -2.11764705882, 5e-12);
  EXPECT_NEAR(law.sd, 38.7651298736, 5e-11);
  EXPECT_NEAR(law.bias->center, -2.11764705882, 5e-12);
  EXPECT_NEAR(law.bias->scale, 38.7651298736 / std::sqrt(17.0), 1e-10);
  EXPECT_EQ(law.bias->dof, 16.0);
}

struct Kind {
  std::string name;
  int checks = 0;
  double tester_bias_sd = 0.0, tester_sd = 0.0;  ///< points
  double step = 0.0;
  Claim claim = Claim::exact;
};

/// One car's checks in points, as fractions, and its true bias.
std::vector<SensorCheck> invented(const Kind& kind, std::size_t car, double bias,
                                  double tester_bias, std::mt19937_64& random) {
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> content(20.0, 80.0);
  std::vector<SensorCheck> checks;
  for (int i = 0; i < kind.checks; ++i) {
    const double truth = content(random);
    double reading = truth + bias + 1.0 * normal(random);
    if (kind.step > 0.0) reading = kind.step * std::round(reading / kind.step);
    const double test = truth + tester_bias + kind.tester_sd * normal(random);
    checks.push_back({car, 0.01 * reading, 0.01 * test});
  }
  return checks;
}

SensorQuestion question_of(const Kind& kind) {
  return {{0.0, 0.01 * kind.tester_bias_sd, 1e-4 * kind.tester_sd * kind.tester_sd},
          0.01 * kind.step,
          0.65};
}

// A bias that the tester shares and the checks cannot see adds its spread; with three checks the t
// that stands for both together is a little wide.
TEST(SensorLawSlow, HoldsTheBiasAsOftenAsItSays) {
  using enum Claim;
  for (const Kind& kind : std::vector<Kind>{{"3 checks", 3},
                                            {"8 checks", 8},
                                            {"20 checks", 20},
                                            {"3 checks, tester", 3, 1.0, 1.5, 0.5, conservative},
                                            {"8 checks, tester", 8, 1.0, 1.5, 0.5},
                                            {"20 checks, tester", 20, 1.0, 1.5, 0.5}}) {
    std::mt19937_64 random(61);
    std::normal_distribution<double> normal;
    Coverage coverage;
    for (int log = 0; log < 500; ++log) {
      const double bias = 3.0 * normal(random);
      const auto checks = invented(kind, 0, bias, kind.tester_bias_sd * normal(random), random);
      coverage.add(*sensor_laws(checks, question_of(kind)).cars.front().bias, 0.01 * bias);
    }
    coverage.expect(kind.claim, kind.name);
  }
}

TEST(SensorLawSlow, HoldsANewSensorsBiasAsOftenAsItSays) {
  for (const int cars : {3, 8}) {
    const Kind kind{"", 4, 0.0, 1.0, 0.5};
    std::mt19937_64 random(67);
    std::normal_distribution<double> normal;
    Coverage coverage;
    for (int log = 0; log < 500; ++log) {
      std::vector<SensorCheck> checks;
      for (int car = 0; car < cars; ++car) {
        const auto own =
            invented(kind, static_cast<std::size_t>(car), 2.0 * normal(random), 0.0, random);
        checks.insert(checks.end(), own.begin(), own.end());
      }
      coverage.add(*sensor_laws(checks, question_of(kind)).new_sensor, 0.02 * normal(random));
    }
    coverage.expect(cars < 5 ? Claim::conservative : Claim::exact,
                    "a new sensor after " + std::to_string(cars));
  }
}

// The noise is what the scatter holds beyond rounding and tester.
TEST(SensorLaw, NoiseIsWithoutRoundingAndTester) {
  const Kind kind{"", 2000, 0.0, 2.0, 2.0};
  std::mt19937_64 random(71);
  const LawOfSensor law =
      sensor_laws(invented(kind, 0, 1.0, 0.0, random), question_of(kind)).cars.front();
  EXPECT_NEAR(law.noise, 0.01, 0.001);
  EXPECT_GT(law.sd, 0.022);
  EXPECT_FALSE(law.tester_explains_all);
}

// Tests that are a point too high hide a point of the bias.
TEST(SensorLaw, TheTestersBiasIsTakenOut) {
  const std::vector<SensorCheck> checks = {{0, 0.61, 0.60}, {0, 0.63, 0.60}, {0, 0.72, 0.70}};
  SensorQuestion question;
  const StudentLaw exact = *sensor_laws(checks, question).cars.front().bias;
  question.tester = {0.01, 0.02, 0.0};
  const StudentLaw biased = *sensor_laws(checks, question).cars.front().bias;
  EXPECT_NEAR(biased.center, exact.center + 0.01, 1e-12);
  EXPECT_NEAR(biased.scale, std::hypot(exact.scale, 0.02), 1e-12);
}

TEST(SensorLaw, ATesterThatExplainsAllLeavesNoNoise) {
  SensorQuestion question;
  question.tester.variance = 0.02 * 0.02;
  const LawOfSensor law =
      sensor_laws({{0, 0.61, 0.60}, {0, 0.62, 0.60}, {0, 0.70, 0.70}}, question).cars.front();
  EXPECT_TRUE(law.tester_explains_all);
  EXPECT_EQ(law.noise, 0.0);
}

// Reading = 1.1 true: at 65 % it is 6.5 points more.
TEST(SensorLaw, ASlopeIsToldAndTheBiasIsThatAtTheLimit) {
  std::vector<SensorCheck> checks;
  for (int i = 0; i < 10; ++i) {
    const double test = 0.2 + 0.06 * i;
    checks.push_back({0, 1.1 * test + (i % 2 == 0 ? 0.002 : -0.002), test});
  }
  SensorQuestion question;
  question.at = 0.65;
  const LawOfSensor law = sensor_laws(checks, question).cars.front();
  ASSERT_TRUE(law.slope);
  EXPECT_NEAR(*law.slope, 0.1, 0.01);
  EXPECT_NEAR(law.bias->center, 0.065, 0.003);
  EXPECT_EQ(law.bias->dof, 8.0);
}

TEST(SensorLaw, WhatCannotBeToldIsNot) {
  EXPECT_EQ(sensor_laws({{0, 0.61, 0.60}}, {}).cars.front().none, NoSensorLaw::one_check);
  EXPECT_EQ(sensor_laws({{0, 0.6, 0.6}, {0, 0.5, 0.5}}, {}).cars.front().none,
            NoSensorLaw::all_equal);
}

}  // namespace
}  // namespace blendrisk::learn::sensor_law_test
