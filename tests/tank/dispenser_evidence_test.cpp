#include "tank/dispenser_evidence.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>

#include "decide/arrive.hpp"
#include "decide/drivers.hpp"
#include "decide/fill.hpp"
#include "decide/heel.hpp"
#include "decide/sweep.hpp"
#include "line/sensor_posterior.hpp"
#include "scenario/told.hpp"
#include "tank/chance.hpp"
#include "tests/scenarios.hpp"
#include "text/error.hpp"

// What the dispenser showed at the end of a fill: closed forms, counting by rejection, and whether
// chances of figures drawn from the scenario come true.
namespace blendrisk::tank {
namespace {

using scenario::Override;
using scenario::Scenario;

/// An invented tank of 50 L whose contents are exact.
Scenario tank(const std::vector<Override>& overrides) {
  return testing::scenario_of(R"([tank]
capacity = 50 L
[heel]
indicated = 6 L
content = 10 %
[fuel]
content = 80 %
[limits]
minimum = 68 %
)",
                              overrides);
}

std::vector<Override> with(std::vector<Override> all, const std::vector<Override>& more) {
  all.insert(all.end(), more.begin(), more.end());
  return all;
}

const std::vector<Override> k_to_click_off{{"fill.shown", "42.37 L"},
                                           {"fill.stopped-by", "click-off"}};

TEST(DispenserEvidence, ExactMeterAndClickOffTellTheHeel) {
  const std::vector<Override> pump{{"fuel.content", "normal(80 %, 3 %)"}};
  const std::vector<Override> gauge{{"heel.gauge-error", "normal(0 L, 2 L)"}};
  const auto told = estimate_chance(tank(with(with(pump, gauge), k_to_click_off)), {});
  const auto known = estimate_chance(tank(with(pump, {{"heel.indicated", "7.63 L"}})), {});
  EXPECT_NEAR(told.outside.chance / known.outside.chance, 1.0, 1e-9);
  for (const double heel : told.learned->heel_after_l) EXPECT_NEAR(heel, 7.63, 1e-9);
}

// Heel H ~ N(6 L, σ²), click-off T ~ N(50 L, τ²), shown D = T − H: H given D is normal with mean
// 6 − σ²/(σ² + τ²) (D − 44) and variance σ²τ²/(σ² + τ²), and the content (H c + D p)/(H + D) is
// below the minimum m where H > D (p − m)/(m − c). The display's half step of 5 mL adds less than
// 1e-4 of the variance.
TEST(DispenserEvidence, NormalGaugeAndClickOffInClosedForm) {
  const double gauge = 1.5;
  const double click_off = 0.8;
  estimate::Options options;
  options.precision = 0.005;
  for (const double shown : {44.0, 42.37, 40.5}) {
    for (const double minimum : {0.66, 0.68, 0.70}) {
      const auto told =
          estimate_chance(tank({{"heel.gauge-error", "normal(0 L, 1.5 L)"},
                                {"tank.click-off", "normal(50 L, 0.8 L)"},
                                {"fill.shown", std::to_string(shown) + " L"},
                                {"fill.stopped-by", "click-off"},
                                {"limits.minimum", std::to_string(100 * minimum) + " %"}}),
                          options);
      const double sum = gauge * gauge + click_off * click_off;
      const boost::math::normal heel(6.0 - gauge * gauge / sum * (shown - 44.0),
                                     gauge * click_off / std::sqrt(sum));
      const double most = shown * (0.80 - minimum) / (minimum - 0.10);
      const double exact = boost::math::cdf(boost::math::complement(heel, most));
      // 4.5 standard errors: falsely in 1e-4 of nine comparisons.
      EXPECT_NEAR(told.outside.chance, exact, 4.5 * told.outside.standard_error + 2e-3 * exact)
          << shown << ' ' << minimum;
      EXPECT_LT(told.outside.standard_error, 0.03 * exact) << shown << ' ' << minimum;
    }
  }
}

struct Figures {
  const char* name;
  const char* example;
  std::vector<Override> changes;
  std::vector<scenario::Correlation> correlations = {};
};

const std::vector<Override> k_metered_twice{{"fill.shown", "44.1 L"},
                                            {"fill.stopped-by", "hand"},
                                            {"fill-2.shown", "55.8 L"},
                                            {"fill-2.stopped-by", "click-off"},
                                            {"limits.minimum", "66 %"}};

const std::vector<Figures>& figures() {
  static const std::vector<Figures> all{
      {"benchmark", "benchmark.ini", {{"fill.shown", "53 L"}, {"fill.stopped-by", "click-off"}}},
      {"by hand", "benchmark.ini", {{"fill.shown", "53 L"}, {"fill.stopped-by", "hand"}}},
      {"hardly any room", "benchmark.ini", {{"fill.shown", "55 L"}, {"fill.stopped-by", "hand"}}},
      {"by a meter's error",
       "benchmark.ini",
       {{"fill.shown", "53 L"},
        {"fill.stopped-by", "click-off"},
        {"fuel.meter-error", "normal(0 %, 1 %)"}}},
      {"correlated",
       "benchmark.ini",
       {{"fill.shown", "53 L"}, {"fill.stopped-by", "click-off"}},
       {{"heel.gauge-error", "fuel.content", 0.7}, {"tank.click-off", "heel.gauge-error", -0.5}}},
      {"reading",
       "wagon-reading.ini",
       {{"fill.shown", "50 L"}, {"fill.stopped-by", "click-off"}, {"limits.minimum", "70 %"}}},
      {"two fills", "van-two-fills.ini", k_metered_twice}};
  return all;
}

// A case is kept with the chance that the display shows the figure; falsely in 1e-4 of the
// comparisons together.
TEST(DispenserEvidence, SlowAgreesWithRejection) {
  for (const Figures& one : figures()) {
    Scenario scenario = testing::example(one.example, one.changes);
    scenario.correlations = one.correlations;
    const auto told = estimate_chance(scenario, {});
    estimate::Options crude;
    crude.method = estimate::Method::crude;
    crude.cases = 8'000'000;
    const auto counted = estimate_chance(scenario, crude);
    const double error = std::hypot(told.outside.standard_error, counted.outside.standard_error);
    EXPECT_GT(counted.outside.chance, 0.0) << one.name;
    EXPECT_NEAR(told.outside.chance, counted.outside.chance, 4.5 * error) << one.name;
    EXPECT_GT(counted.outside.standard_error, 0.0) << one.name;
    const double sd = counted.landed.standard_deviation;
    const double kept = counted.outside.chance * (1.0 - counted.outside.chance) /
                        (counted.outside.standard_error * counted.outside.standard_error);
    EXPECT_NEAR(told.landed.mean, counted.landed.mean, 4.5 * sd / std::sqrt(std::min(kept, 2000.0)))
        << one.name;
  }
}

/// The distance of Kolmogorov and Smirnov from uniform, times the root of the number.
double distance_from_uniform(std::vector<double> p) {
  std::sort(p.begin(), p.end());
  const auto n = static_cast<double>(p.size());
  double most = 0.0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const auto at = static_cast<double>(i);
    most = std::max({most, (at + 1.0) / n - p[i], p[i] - at / n});
  }
  return most * std::sqrt(n);
}

// Fills drawn from the scenario, each told by its figure: among those that show less than the
// median, the place of the landed content in its odds is uniform. It is not where the figure is
// entered as an amount, which leaves the heel as likely as before. The limits of the distance are
// those of 1e-5 and of 1e-12 (2 exp(−2 d²)).
TEST(DispenserEvidence, SlowOddsOfDrawnFillsComeTrue) {
  constexpr std::size_t k_fills = 2000;
  constexpr double k_median_l = 54.0;
  const Scenario planned =
      testing::example("benchmark.ini", {{"heel.gauge-error", "normal(0 L, 2 L)"},
                                         {"heel.indicated", "6 L"},
                                         {"tank.click-off", "normal(60 L, 0.6 L)"},
                                         {"fuel.content", "normal(80 %, 1 %)"},
                                         {"fuel.meter-error", "normal(0 %, 0.5 %)"}});
  const sampling::CaseInputs inputs(planned);
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs);
  sampling::Xoshiro numbers(2026);
  estimate::Options options;
  options.precision = 0.05;
  std::vector<double> places;
  std::vector<double> places_of_twin;
  sampling::CaseBatch batch(inputs, 200);
  estimate::BlendColumns columns(200);
  while (places.size() < k_fills) {
    sampler.draw_crude(numbers, 200, batch);
    LinearBlend(inputs, {}).evaluate(batch, 200, columns);
    for (std::size_t i = 0; i < 200; ++i) {
      const double meter = batch.column(sampling::Slot::meter_error(0))[i];
      const double shown = (columns.total()[i] - columns.heel()[i]) / (1.0 + meter);
      if (shown > k_median_l) continue;
      const estimate::Limit landed{estimate::Side::below, columns.a()[i]};
      Scenario done = planned;
      done.fills[0].shown_l = std::round(shown * 100.0) / 100.0;
      places.push_back(estimate_side(done, landed, options).estimate.chance);
      Scenario metered = planned;
      metered.fills[0].amount_l = done.fills[0].shown_l;
      places_of_twin.push_back(estimate_side(metered, landed, options).estimate.chance);
    }
  }
  EXPECT_LT(distance_from_uniform(places), 2.47);
  EXPECT_GT(distance_from_uniform(places_of_twin), 3.77);
}

// The conditional estimator reaches 1 % of a chance that no counting would see.
TEST(DispenserEvidence, OnePercentOfAMillionth) {
  const Scenario scenario = testing::example(
      "benchmark.ini",
      {{"limits.minimum", "59 %"}, {"fill.shown", "53 L"}, {"fill.stopped-by", "click-off"}});
  const auto told = estimate_chance(scenario, {});
  EXPECT_EQ(told.effort.stop, estimate::Stop::precision_reached);
  EXPECT_LT(told.outside.chance, 1e-6);
  EXPECT_GT(told.outside.chance, 1e-12);
  EXPECT_LT(told.outside.standard_error, 0.01 * told.outside.chance);
  estimate::Options single;
  single.threads = 1;
  EXPECT_EQ(estimate_chance(scenario, single).outside.chance, told.outside.chance);
}

const std::vector<Override> k_wagon_done{{"fill.shown", "49.5 L"},
                                         {"fill.stopped-by", "click-off"}};

// The tank's end on the road is the tank's chance: the samples of arrivals are chosen by weight.
TEST(DispenserEvidence, ArrivalsFollowTheFigure) {
  const Scenario done =
      testing::example("wagon-line.ini", with(k_wagon_done, {{"limits.minimum", "68 %"}}));
  const auto told = estimate_chance(done, {});
  const sampling::CaseInputs inputs(done, sampling::Scope::line);
  const line::Line line(inputs);
  const estimate::Limit target{estimate::Side::below, 0.68};
  const auto cases = line::follow_cases(line, target, 1U << 16U, {}, 0);
  double never = 0.0;
  for (std::size_t i = 0; i < cases.size(); ++i) never += cases.arrives(i) ? 0.0 : 1.0;
  const auto n = static_cast<double>(cases.size());
  const double chance = told.outside.chance;
  // Chosen again, cases are worth half their number or more; 4.5 standard errors.
  EXPECT_NEAR(never / n, chance, 4.5 * std::sqrt(2.0 * chance * (1.0 - chance) / n));
  EXPECT_NEAR(line::estimate_end(line, target, {}).estimate.chance, chance,
              4.5 * std::hypot(told.outside.standard_error, 0.01 * chance));
}

// A reading that says nothing leaves the odds that the figure gives.
TEST(DispenserEvidence, JoinsTheReadings) {
  const Scenario done = testing::example(
      "wagon-line.ini", with(k_wagon_done, {{"sensor.noise", "60 %"}, {"limits.minimum", "69 %"}}));
  line::Follow follow(done, {});
  follow.add({follow.reading({line::Moment::By::burned, 0.5}, 0.6)});
  const auto odds = follow.posterior();
  const auto told = estimate_chance(done, {});
  const double error =
      std::sqrt(told.outside.chance * (1.0 - told.outside.chance) / odds.effective_cases);
  EXPECT_NEAR(odds.below_minimum->chance, told.outside.chance, 4.5 * error + 0.01);
}

TEST(DispenserEvidence, RefusedWhereItIsPlanned) {
  const Scenario done = testing::example("wagon-line.ini", k_wagon_done);
  EXPECT_THROW(decide::solve_fill(done, {}, 0.01, 0.1), estimate::ImpossibleScenario);
  EXPECT_THROW(decide::solve_heel(done, {}, 0.1), estimate::ImpossibleScenario);
  EXPECT_THROW(decide::swept(done, {decide::Show::amount, 0.01}, {}), estimate::ImpossibleScenario);
  EXPECT_THROW(decide::swept(done, {decide::Show::heel, 0.1}, {}), estimate::ImpossibleScenario);
  const auto drivers = decide::find_drivers(done, {}, 0.01, 0.1);
  EXPECT_FALSE(drivers.safe_amount_l);
  EXPECT_FALSE(drivers.inputs.empty());
  EXPECT_TRUE(std::is_sorted(
      drivers.inputs.begin(), drivers.inputs.end(),
      [](const decide::Driver& a, const decide::Driver& b) { return a.chance < b.chance; }));
}

TEST(DispenserEvidence, AFigureThatCannotBeContradicts) {
  for (const char* shown : {"70 L", "20 L"}) {
    const Scenario done = testing::example(
        "wagon-line.ini", {{"fill.shown", shown}, {"fill.stopped-by", "click-off"}});
    try {
      estimate_chance(done, {});
      ADD_FAILURE() << shown;
    } catch (const estimate::ImpossibleScenario& error) {
      EXPECT_EQ(error.why, estimate::Impossible::figure);
      EXPECT_EQ(error.key, "fill.shown");
    }
  }
  const Scenario by_hand =
      testing::example("wagon-line.ini", {{"fill.shown", "70 L"}, {"fill.stopped-by", "hand"}});
  EXPECT_THROW(estimate_chance(by_hand, {}), estimate::ImpossibleScenario);
}

TEST(DispenserEvidence, TheWidestIsTold) {
  using scenario::Uncertain;
  const auto told = [](const std::vector<Override>& overrides) {
    return scenario::told_by_dispenser(tank(with(overrides, k_to_click_off)), 0);
  };
  EXPECT_EQ(told({{"heel.gauge-error", "normal(0 L, 1 L)"}}), Uncertain::gauge_error);
  EXPECT_EQ(
      told({{"heel.gauge-error", "normal(0 L, 1 L)"}, {"tank.click-off", "normal(50 L, 2 L)"}}),
      Uncertain::click_off);
  EXPECT_EQ(told({{"fuel.meter-error", "normal(0 %, 1 %)"}}), Uncertain::meter_error);
  EXPECT_THROW(told({}), text::Error);
  EXPECT_THROW(tank({{"fill.shown", "42 L"}}), text::Error);
  EXPECT_THROW(tank({{"fill.stopped-by", "hand"}}), text::Error);
  EXPECT_THROW(tank(with(k_to_click_off, {{"fill.stopped-by", "air"}})), text::Error);
}

}  // namespace
}  // namespace blendrisk::tank
