#include "learn/pump_law.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "tests/learn/coverage.hpp"

namespace blendrisk::learn::pump_law_test {
namespace {

using testing::Claim;
using testing::Coverage;
using testing::half_width;

/// A kind of log. Standard deviations in points.
struct Kind {
  std::string name;
  int pumps = 1;
  int deliveries = 1;  ///< of each pump
  int tests = 1;       ///< of each delivery
  double pump = 0.0, delivery = 3.0, tester = 0.0;
  bool tester_known = false;
  double season = 0.0;  ///< amplitude
  Claim claim = Claim::exact;
};

struct Log {
  std::vector<PumpTest> tests;
  double next = 0.0;  ///< the next delivery of pump 0
};

/// Tests of one delivery are days apart, deliveries weeks.
Log invented(const Kind& kind, std::mt19937_64& random) {
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> anywhere(0.0, 2.0 * std::numbers::pi);
  const double phase = anywhere(random);
  const auto season = [&](double day) {
    return kind.season * std::cos(2.0 * std::numbers::pi * day / 365.2425 - phase);
  };
  Log log;
  const double every = kind.season > 0.0 ? 900.0 / kind.deliveries : 20.0;
  for (int pump = 0; pump < kind.pumps; ++pump) {
    const double own = 75.0 + kind.pump * normal(random);
    for (int delivery = 0; delivery < kind.deliveries; ++delivery) {
      const double day = every * (delivery + static_cast<double>(pump) / kind.pumps);
      const double content = own + kind.delivery * normal(random) + season(day);
      for (int test = 0; test < kind.tests; ++test) {
        log.tests.push_back({static_cast<std::size_t>(pump), day + test % 3,
                             0.01 * (content + kind.tester * normal(random))});
      }
    }
    if (pump == 0) {
      log.next = 0.01 * (own + kind.delivery * normal(random) + season(900.0));
    }
  }
  return log;
}

PumpQuestion question_of(const Kind& kind) {
  PumpQuestion question;
  question.on_day = 900.0;
  if (kind.tester_known) question.tester.variance = 1e-4 * kind.tester * kind.tester;
  return question;
}

Coverage covered(const Kind& kind, int logs = 500) {
  std::mt19937_64 random(41);
  Coverage coverage;
  for (int i = 0; i < logs; ++i) {
    const Log log = invented(kind, random);
    const PumpLaws laws = pump_laws(log.tests, question_of(kind));
    coverage.add(*laws.pumps.front().law, log.next);
  }
  return coverage;
}

// Kinds of few deliveries, or of deliveries that differ by less than their tests, err on the wide
// side (docs/evidence.md).
TEST(PumpLawSlow, HoldsTheNextDeliveryAsOftenAsItSays) {
  using enum Claim;
  const std::vector<Kind> kinds = {
      {"two deliveries, one test each", 1, 2, 1, 0.0, 3.0},
      {"two deliveries, six tests each", 1, 2, 6, 0.0, 3.0, 0.5, false, 0.0, conservative},
      {"two deliveries, tests that scatter more", 1, 2, 6, 0.0, 1.0, 2.0, false, 0.0, conservative},
      {"three deliveries, tester known", 1, 3, 2, 0.0, 3.0, 1.0, true, 0.0, conservative},
      {"six deliveries, tester known", 1, 6, 1, 0.0, 3.0, 1.0, true},
      {"six deliveries, tester as wide as they", 1, 6, 1, 0.0, 1.0, 1.0, true, 0.0, conservative},
      {"fifteen deliveries, four tests each", 1, 15, 4, 0.0, 2.0, 1.0},
      {"two pumps, three deliveries each", 2, 3, 2, 2.0, 2.0, 1.0},
      {"two pumps that are alike", 2, 3, 2, 0.0, 2.0, 1.0, false, 0.0, conservative},
      {"four pumps, two deliveries each", 4, 2, 2, 3.0, 2.0, 1.0},
      {"four pumps, one delivery each", 4, 1, 3, 2.0, 2.0, 1.0, false, 0.0, conservative},
      {"four pumps, three deliveries, single tests", 4, 3, 1, 1.0, 2.0, 1.0, true},
      {"fifteen deliveries, a season", 1, 15, 2, 0.0, 1.5, 0.5, false, 5.0},
      {"three pumps, five deliveries, a season", 3, 5, 2, 2.0, 1.5, 0.5, false, 5.0, conservative},
      {"fifteen deliveries, a small season", 1, 15, 1, 0.0, 2.0, 0.0, false, 1.0},
  };
  for (const Kind& kind : kinds) covered(kind).expect(kind.claim, kind.name);
}

// The twin: every test taken for a delivery of its own does not hold it.
TEST(PumpLaw, TestsOfTwoDeliveriesAreNotTwelve) {
  const Kind kind{"", 1, 2, 6, 0.0, 3.0, 0.5};
  std::mt19937_64 random(43);
  Coverage apart;
  for (int i = 0; i < 300; ++i) {
    Log log = invented(kind, random);
    for (PumpTest& test : log.tests) test.day.reset();
    apart.add(*pump_laws(log.tests, question_of(kind)).pumps.front().law, log.next);
  }
  EXPECT_LT(apart.share(2), 0.8);
  const Coverage together = covered(kind, 300);
  EXPECT_GE(together.share(2), 0.95 - 3.0 * std::sqrt(0.95 * 0.05 / 300.0));
}

std::vector<PumpTest> dated(const std::vector<std::pair<double, double>>& tests) {
  std::vector<PumpTest> all;
  for (const auto& [day, content] : tests) all.push_back({0, day, content});
  return all;
}

TEST(PumpLaw, TestsWithinTheDaysShareTheirDelivery) {
  const std::vector<PumpTest> tests =
      dated({{0.0, 0.70}, {3.0, 0.71}, {4.0, 0.75}, {20.0, 0.78}, {18.0, 0.79}});
  PumpQuestion question;
  EXPECT_EQ(pump_laws(tests, question).deliveries, 3U);
  question.same_delivery_days = 0.0;
  EXPECT_EQ(pump_laws(tests, question).deliveries, 5U);
  question.same_delivery_days = 4.0;
  EXPECT_EQ(pump_laws(tests, question).deliveries, 2U);
}

// Pairs of tests two days apart, two of which lie on both sides of a new delivery. A tester known
// to 0.8 points does not explain those; without knowing one, the twin, they are taken as the
// tester's scatter, and the law of the next delivery is too narrow.
TEST(PumpLaw, ADeliveryIsFoundBetweenTestsThatTheTesterDoesNotExplain) {
  std::mt19937_64 random(53);
  std::normal_distribution<double> normal;
  std::vector<PumpTest> tests;
  for (int delivery = 0; delivery < 40; ++delivery) {
    const double content = 0.75 + 0.03 * normal(random);
    const double day = 14.0 * delivery;
    tests.push_back({0, day, content + 0.008 * normal(random)});
    if (delivery % 10 == 3) tests.push_back({0, day + 2.0, content + 0.008 * normal(random)});
    if (delivery % 20 == 7) tests.push_back({0, day - 1.0, content + 0.09});
  }
  PumpQuestion question;
  question.tester.variance = 0.008 * 0.008;
  const PumpLaws laws = pump_laws(tests, question);
  EXPECT_EQ(laws.partings, 2U);
  EXPECT_EQ(laws.deliveries, 42U);
  EXPECT_EQ(laws.scatter, TesterScatter::known);
  const PumpLaws twin = pump_laws(tests, {});
  EXPECT_EQ(twin.partings, 0U);
  EXPECT_LT(twin.components.group, 0.8 * laws.components.group);
}

TEST(PumpLaw, WhatOneDeliveryCannotTellIsNotTold) {
  const PumpLaws one = pump_laws(dated({{0.0, 0.70}, {1.0, 0.72}, {2.0, 0.73}}), {});
  EXPECT_EQ(one.none, NoPumpLaw::one_delivery);
  EXPECT_FALSE(one.pumps.front().law);
  const PumpLaws equal = pump_laws(dated({{0.0, 0.7}, {10.0, 0.7}, {20.0, 0.7}}), {});
  EXPECT_EQ(equal.none, NoPumpLaw::all_equal);
}

// A tester with a bias of +2 +- 1 points: the pump gives 2 points less, and less surely so.
TEST(PumpLaw, TheTestersErrorIsTakenOut) {
  const std::vector<PumpTest> tests =
      dated({{0.0, 0.70}, {10.0, 0.74}, {20.0, 0.72}, {30.0, 0.78}, {40.0, 0.71}});
  PumpQuestion question;
  const StudentLaw exact = *pump_laws(tests, question).pumps.front().law;
  question.tester = {0.02, 0.01, 0.0};
  const StudentLaw biased = *pump_laws(tests, question).pumps.front().law;
  EXPECT_NEAR(biased.center, exact.center - 0.02, 1e-12);
  EXPECT_NEAR(biased.scale, std::hypot(exact.scale, 0.01), 1e-12);
  EXPECT_GT(biased.dof, exact.dof);
  question.tester = {0.0, 0.0, 0.02 * 0.02};
  const PumpLaws noisy = pump_laws(tests, question);
  EXPECT_EQ(noisy.scatter, TesterScatter::known);
  EXPECT_LT(half_width(*noisy.pumps.front().law, 0.9), half_width(exact, 0.9));
}

// A pump with one delivery is drawn to the others, one with many is not.
TEST(PumpLaw, APumpOfFewTestsIsShrunkToTheOthers) {
  std::vector<PumpTest> tests;
  for (int i = 0; i < 8; ++i) {
    for (std::size_t pump = 0; pump < 3; ++pump) {
      const double wave = 0.03 * std::cos(2.1 * i + static_cast<double>(pump));
      tests.push_back({pump, 20.0 * i, 0.74 + 0.01 * static_cast<double>(pump) + wave});
    }
  }
  tests.push_back({3, 10.0, 0.84});
  const PumpLaws laws = pump_laws(tests, {});
  EXPECT_LT(laws.pumps[3].law->center, 0.83);
  EXPECT_GT(laws.pumps[3].law->center, 0.74);
  EXPECT_NEAR(laws.pumps[0].law->center, laws.pumps[0].mean, 0.01);
  EXPECT_GT(half_width(*laws.new_pump, 0.9), half_width(*laws.pumps[0].law, 0.9));
}

// Half a year tells of no season, two years and more do, and say how large one could hide.
TEST(PumpLaw, ASeasonTakesTwoYears) {
  std::mt19937_64 random(47);
  std::normal_distribution<double> normal(0.0, 0.01);
  const auto seen = [&](double years, double amplitude) {
    std::vector<PumpTest> tests;
    for (int i = 0; i < 30; ++i) {
      const double day = 365.2425 * years * i / 29.0;
      tests.push_back(
          {0, day,
           0.75 + amplitude * std::cos(2.0 * std::numbers::pi * day / 365.2425) + normal(random)});
    }
    return pump_laws(tests, {}).season;
  };
  const Season half = seen(0.5, 0.05);
  EXPECT_FALSE(half.asked);
  EXPECT_FALSE(half.told);
  const Season three = seen(3.0, 0.05);
  EXPECT_TRUE(three.told);
  EXPECT_NEAR(three.amplitude, 0.05, 4.0 * 0.01 * std::sqrt(2.0 / 30.0));
  const Season none = seen(3.0, 0.0);
  EXPECT_TRUE(none.asked);
  EXPECT_FALSE(none.told);
  EXPECT_GT(none.could_hide, none.amplitude);
  EXPECT_LT(none.could_hide, 0.02);
}

// Of logs without a season one in a hundred is told of one: within 4.4 standard errors of 1000.
TEST(PumpLawSlow, SeasonsThatAreNotThereAreToldOnceInAHundred) {
  std::mt19937_64 random(53);
  std::normal_distribution<double> normal(0.75, 0.02);
  int told = 0;
  for (int log = 0; log < 1000; ++log) {
    std::vector<PumpTest> tests;
    for (int i = 0; i < 12; ++i) tests.push_back({0, 75.0 * i, normal(random)});
    told += pump_laws(tests, {}).season.told ? 1 : 0;
  }
  EXPECT_NEAR(told, 10.0, 4.4 * std::sqrt(9.9));
}

}  // namespace
}  // namespace blendrisk::learn::pump_law_test
