#include "decide/year.hpp"

#include <gtest/gtest.h>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>

#include "decide/variants.hpp"
#include "distributions/families.hpp"
#include "numeric/vector_math.hpp"
#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::decide::year_test {
namespace {

using testing::scenario_of;
using Overrides = std::vector<scenario::Override>;

/// 6 L of 10 %, minimum 65 %, 30 L of a pump of 80 %, standard deviation 2 %.
constexpr const char* k_car =
    "[tank]\ncapacity = 90 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
    "[fuel]\ncontent = normal(80 %, 2 %)\n[fill]\namount = 30 L\n[limits]\nminimum = 65 %\n";
constexpr double k_sigma = 0.02;

Visits visits_of(const scenario::Scenario& scenario, double changes) {
  estimate::Options fine;
  fine.precision = 1e-3;
  Visits visits{scenario, changes, tank::estimate_outside(scenario, fine).estimate, 0.0};
  visits.own_chance = visits.chance.chance;
  return visits;
}

Year year_of(const scenario::Scenario& scenario, double changes) {
  const Visits visits = visits_of(scenario, changes);
  return year_of_car({&visits, 1}, {});
}

/// The chance of a miss of that car with so much more in the tank: by hand, 6 L of the heel and
/// the amount D land below 65 % where the pump is below 0.65 + H 0.55 / D.
double score_given(double error_l, double amount_l = 30.0, double mean = 0.8) {
  const double heel = std::max(6.0 + error_l, 0.0);
  return (0.65 + heel * 0.55 / amount_l - mean) / k_sigma;
}

double over_normal(const std::function<double(double z)>& f) {
  using boost::math::quadrature::gauss_kronrod;
  const auto weighed = [&](double z) { return f(z) * numeric::normal_density(z); };
  return gauss_kronrod<double, 31>::integrate(weighed, -9.0, 9.0, 12, 1e-10);
}

/// A limit bears 1e-12 (estimate/limit.hpp), which moves chances by some 1e-10.
constexpr double k_slack = 1e-9;

/// Within 4 standard errors: one honest run in 15 000 fails (normal law of the mean of 16), one in
/// 900 by Student's t with 15 degrees; the seed is fixed.
void expect_near(const YearFigure& figure, double wanted, double most_relative_error) {
  EXPECT_LE(std::abs(figure.value - wanted), 4.0 * figure.standard_error + k_slack * wanted)
      << figure.value << " for " << wanted;
  EXPECT_LE(figure.standard_error, most_relative_error * wanted);
}
void expect_apart(const YearFigure& figure, double wrong) {
  EXPECT_GT(std::abs(figure.value - wrong), 4.0 * figure.standard_error);
}

TEST(Year, NothingPersistentIsIndependentChanges) {
  const Visits visits = visits_of(scenario_of(k_car), 40.0);
  const Year year = year_of_car({&visits, 1}, {});
  const double p = numeric::normal_cdf(score_given(0.0));
  EXPECT_NEAR(year.any.value, -std::expm1(40.0 * std::log1p(-p)), 1e-9);
  EXPECT_NEAR(year.independent.value, year.any.value, 1e-12);
  EXPECT_NEAR(year.once.value, p, k_slack);
  EXPECT_NEAR(year.misses.value, 40.0 * p, 1e-9);
}

// An error of the gauge is a spread; drawn anew at every change it is none of a car.
TEST(Year, WhatIsNotNamedIsDrawnAtEveryChange) {
  const Overrides anew{{"heel.gauge-error", "normal(0 L, 0.5 L)"}, {"policy.persistent", "none"}};
  const Year year = year_of(scenario_of(k_car, anew), 40.0);
  EXPECT_NEAR(year.any.value, year.independent.value, 1e-12);
  expect_apart(year_of(scenario_of(k_car, {anew[0]}), 40.0).any, year.independent.value);
}

// The gauge alone: all changes of a car miss or none does, so that a year is as one change.
TEST(Year, NothingButPersistentIsOneChange) {
  const scenario::Scenario scenario =
      scenario_of(k_car, {{"heel.gauge-error", "normal(0 L, 0.5 L)"}, {"fuel.content", "80 %"}});
  const double most_l = 30.0 * 0.15 / 0.55;
  const double p = numeric::normal_cdf(-(most_l - 6.0) / 0.5);
  const Year year = year_of(scenario, 200.0);
  expect_near(year.any, p, 0.02);
  expect_near(year.once, p, 0.02);
  EXPECT_NEAR(year.independent.value, -std::expm1(200.0 * std::log1p(-p)), 1e-3);
  expect_apart(year.any, year.independent.value);
}

// By hand: two kinds of cars, half of them with 0.6 L more in the tank than shown and half with
// 0.6 L less.
TEST(Year, TwoKindsOfCarsAreTheirMean) {
  scenario::Scenario scenario = scenario_of(k_car);
  scenario.heel.gauge_error = distributions::empirical({-0.6, 0.6});
  Visits visits = visits_of(scenario_of(k_car), 30.0);
  visits.scenario = scenario;
  const double much = numeric::normal_cdf(score_given(0.6));
  const double little = numeric::normal_cdf(score_given(-0.6));
  visits.own_chance = visits.chance.chance = 0.5 * (much + little);
  const Year year = year_of_car({&visits, 1}, {});
  const double none = 0.5 * (std::pow(1.0 - much, 30.0) + std::pow(1.0 - little, 30.0));
  expect_near(year.any, 1.0 - none, 0.02);
  EXPECT_NEAR(year.once.value, 0.5 * (much + little), 1e-9);
  expect_apart(year.any, year.independent.value);
}

// 1 − ∫ (1 − p(z))^N φ(z) dz by Gauss-Kronrod quadrature (Boost.Math).
TEST(Year, ErrorOfTheGaugeByQuadrature) {
  for (const double sd : {0.2, 1.0}) {
    for (const double changes : {1.0, 12.0, 300.0}) {
      const scenario::Scenario scenario =
          scenario_of(k_car, {{"heel.gauge-error", "normal(0 L, " + std::to_string(sd) + " L)"}});
      const double wanted = over_normal([&](double z) {
        const double p = numeric::normal_cdf(score_given(sd * z));
        return -std::expm1(changes * std::log1p(-std::min(p, 1.0 - 1e-16)));
      });
      const Year year = year_of(scenario, changes);
      expect_near(year.any, wanted, 0.02);
      EXPECT_LE(year.any.value, year.misses.value);
      if (changes > 1.0) {
        expect_apart(year.any, year.independent.value);
        expect_apart(year.any, year.once.value);
      }
    }
  }
}

// A chance of some millionths, and ten thousand changes.
TEST(Year, RareMissesInManyChanges) {
  const scenario::Scenario scenario =
      scenario_of(k_car, {{"heel.gauge-error", "normal(0 L, 0.5 L)"}, {"fill.amount", "55 L"}});
  const auto given = [&](double z, double changes) {
    const double p = numeric::normal_cdf(score_given(0.5 * z, 55.0));
    return -std::expm1(changes * std::log1p(-std::min(p, 1.0 - 1e-16)));
  };
  const Year year = year_of(scenario, 1e4);
  ASSERT_LT(year.once.value, 2e-5);
  expect_near(year.once, over_normal([&](double z) { return given(z, 1.0); }), 0.01);
  expect_near(year.any, over_normal([&](double z) { return given(z, 1e4); }), 0.02);
  expect_apart(year.any, year.independent.value);
}

// Given the score z of the gauge's error that of the pump is normal(r z, √(1 − r²)), with r = 2
// sin(π ρ/6) of Spearman's ρ (K. Pearson, 1907; from memory).
TEST(Year, PumpCorrelatedWithTheGauge) {
  scenario::Scenario correlated = scenario_of(k_car, {{"heel.gauge-error", "normal(0 L, 0.5 L)"}});
  correlated.correlations = {{"heel.gauge-error", "fuel.content", -0.6}};
  const double r = 2.0 * std::sin(std::numbers::pi * -0.6 / 6.0);
  const auto wanted = [&](double by) {
    return over_normal([&](double z) {
      const double p =
          numeric::normal_cdf((score_given(0.5 * z) - by * z) / std::sqrt(1.0 - by * by));
      return -std::expm1(25.0 * std::log1p(-std::min(p, 1.0 - 1e-16)));
    });
  };
  const Year year = year_of(correlated, 25.0);
  expect_near(year.any, wanted(r), 0.02);
  expect_apart(year.any, wanted(0.0));
}

// One gauge errs alike at both pumps; as two cars they would miss more years.
TEST(Year, PumpsOfOneCarShareItsErrors) {
  const Overrides gauge{{"heel.gauge-error", "normal(0 L, 1 L)"}};
  Overrides weak = gauge;
  weak.push_back({"fuel.content", "normal(79 %, 2 %)"});
  const std::vector<Visits> visits{visits_of(scenario_of(k_car, gauge), 20.0),
                                   visits_of(scenario_of(k_car, weak), 10.0)};
  const auto none = [](double z, double strong, double other) {
    const double p = numeric::normal_cdf(score_given(z));
    const double q = numeric::normal_cdf(score_given(z, 30.0, 0.79));
    return std::exp(strong * std::log1p(-std::min(p, 1.0 - 1e-16)) +
                    other * std::log1p(-std::min(q, 1.0 - 1e-16)));
  };
  const auto any = [&](double strong, double other) {
    return over_normal([&](double z) { return 1.0 - none(z, strong, other); });
  };
  const Year year = year_of_car(visits, {});
  expect_near(year.any, any(20.0, 10.0), 0.02);
  expect_near(year.once, any(1.0, 1.0), 0.02);
  expect_apart(year.any, 1.0 - (1.0 - any(20.0, 0.0)) * (1.0 - any(0.0, 10.0)));
}

// A meter that errs within bounds and a hose: several inputs of the rest, none of them a content
// that the landing is conditioned on.
TEST(Year, CountsTheRestWhereNoContentIsUncertain) {
  const double most_l = 30.0 * 0.15 / 0.55;  // heel at which the amount just does
  const scenario::Scenario scenario =
      scenario_of(k_car, {{"fuel.content", "80 %"},
                          {"fuel.meter-error", "uniform(-5 %, 5 %)"},
                          {"heel.gauge-error", "normal(0 L, 0.5 L)"}});
  const double wanted = over_normal([&](double z) {
    const double needed = (6.0 + 0.5 * z) / most_l - 1.0;
    const double p = std::clamp((needed + 0.05) / 0.1, 0.0, 1.0 - 1e-16);
    return -std::expm1(10.0 * std::log1p(-p));
  });
  const Year year = year_of(scenario, 10.0);
  expect_near(year.any, wanted, 0.04);
  expect_apart(year.any, year.independent.value);
}

// A power of a mean over few points is biased by the mean's error; the halves of the points take
// that off. Over 40 seeds, so that a bias of a part of one run's error is seen.
TEST(Year, PowersOfMeansAreNotBiased) {
  const scenario::Scenario scenario =
      scenario_of(k_car, {{"fuel.content", "80 %"},
                          {"fuel.meter-error", "uniform(-5 %, 5 %)"},
                          {"fuel.hose-volume", "uniform(0 L, 0.6 L)"},
                          {"fill.amount", "26 L"},
                          {"heel.gauge-error", "normal(0 L, 0.3 L)"}});
  using boost::math::quadrature::gauss_kronrod;
  const double wanted = over_normal([&](double z) {
    const auto given_hose = [&](double hose_l) {
      const double needed = (0.55 * (6.0 + 0.3 * z) + 0.7 * hose_l) / (0.15 * 26.0) - 1.0;
      return std::clamp((needed + 0.05) / 0.1, 0.0, 1.0) / 0.6;
    };
    const double p = gauss_kronrod<double, 31>::integrate(given_hose, 0.0, 0.6, 8, 1e-8);
    return -std::expm1(200.0 * std::log1p(-std::min(p, 1.0 - 1e-16)));
  });
  const Visits visits = visits_of(scenario, 200.0);
  double sum = 0.0;
  double square = 0.0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    estimate::Options options;
    options.seed = seed;
    options.precision = 0.02;
    const YearFigure any = year_of_car({&visits, 1}, options).any;
    sum += any.value / 40.0;
    square += any.standard_error * any.standard_error / 1600.0;
  }
  EXPECT_LE(std::abs(sum - wanted), 4.0 * std::sqrt(square)) << sum << " for " << wanted;
}

// What three measured values may bear beside the chance comes at every change anew.
TEST(Year, MeasuredValuesBearMoreAtEveryChange) {
  Visits visits = visits_of(scenario_of(k_car), 5.0);
  visits.own_chance = 0.01;
  visits.chance.chance = 0.25;
  const Year year = year_of_car({&visits, 1}, {});
  EXPECT_NEAR(year.any.value, 1.0 - std::pow(0.75, 5.0), 1e-12);
  EXPECT_NEAR(year.misses.value, 1.25, 1e-12);
}

TEST(Year, CarsAreIndependent) {
  const std::vector<Year> cars{{{0.1, 0.01}, {0.2, 0.0}, {0.05, 0.0}, {0.3, 0.03}, 10},
                               {{0.5, 0.02}, {0.6, 0.0}, {0.25, 0.0}, {0.9, 0.04}, 5}};
  const Year shop = year_of_shop(cars);
  EXPECT_NEAR(shop.any.value, 1.0 - 0.9 * 0.5, 1e-12);
  EXPECT_NEAR(shop.any.standard_error, std::hypot(0.01 * 0.5, 0.02 * 0.9), 1e-12);
  EXPECT_NEAR(shop.independent.value, 1.0 - 0.8 * 0.4, 1e-12);
  EXPECT_NEAR(shop.once.value, 1.0 - 0.95 * 0.75, 1e-12);
  EXPECT_NEAR(shop.misses.value, 1.2, 1e-12);
  EXPECT_NEAR(shop.misses.standard_error, 0.05, 1e-12);
  EXPECT_EQ(shop.evaluations, 15U);
  EXPECT_EQ(year_of_shop({}).any.value, 0.0);
}

// Its share of 200 seeds in which 95 % intervals (1.96 standard errors and the factor of Student's
// t with 15 degrees, 2.13) hold the quadrature's value: 0.95 ± 4 √(0.95 · 0.05 / 200); an honest
// one fails in 1 of 15 000 sets of seeds. The twin: intervals half as wide hold too seldom.
TEST(Year, SlowStandardErrorsAreHonest) {
  const scenario::Scenario scenario =
      scenario_of(k_car, {{"heel.gauge-error", "normal(0 L, 0.5 L)"}});
  const double wanted = over_normal([&](double z) {
    const double p = numeric::normal_cdf(score_given(0.5 * z));
    return -std::expm1(60.0 * std::log1p(-std::min(p, 1.0 - 1e-16)));
  });
  Visits visits = visits_of(scenario, 60.0);
  visits.chance.chance = visits.own_chance =
      over_normal([&](double z) { return numeric::normal_cdf(score_given(0.5 * z)); });
  visits.chance.standard_error = 0.0;
  int held = 0;
  int held_by_half = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    estimate::Options options;
    options.seed = seed;
    const YearFigure any = year_of_car({&visits, 1}, options).any;
    const double off = std::abs(any.value - wanted) / any.standard_error;
    held += off < 2.13 ? 1 : 0;
    held_by_half += off < 0.5 * 2.13 ? 1 : 0;
  }
  const double bound = 4.0 * std::sqrt(0.95 * 0.05 / 200.0);
  EXPECT_GT(held / 200.0, 0.95 - bound);
  EXPECT_LT(held_by_half / 200.0, 0.95 - bound);
}

}  // namespace
}  // namespace blendrisk::decide::year_test
