#include "line/arrival.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "tank/chance.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::line {
namespace {

using sampling::CaseInputs;
using sampling::Scope;
using scenario::Override;
using testing::example;
using testing::scenario_of;

constexpr double k_ever = std::numeric_limits<double>::infinity();
/// Normal quantile of 1 − 5e-7: a two-sided false alarm of one in a million a comparison.
constexpr double k_bound = 4.9;

const std::vector<Override> k_line{{"line.reservoir", "normal(0.2 L, 0.03 L)"},
                                   {"line.pipe", "uniform(0.08 L, 0.2 L)"},
                                   {"line.filter", "normal(0.15 L, 0.02 L)"},
                                   {"line.beyond-sensor", "0.03 L"},
                                   {"engine.idle", "normal(1 L/h, 0.1 L/h)"}};

/// Exact contents: 10 % in the line, 85 % from the pump, next to nothing of the old left.
scenario::Scenario exact_scenario(std::vector<Override> more) {
  const char* text =
      "[tank]\ncapacity = 50 L\n[heel]\nindicated = 0 L\ncontent = 10 %\n[fuel]\ncontent = 85 %\n"
      "[limits]\nminimum = 60 %\n";
  return scenario_of(text, more);
}

std::vector<Override> with(std::vector<Override> some, const std::vector<Override>& more) {
  some.insert(some.end(), more.begin(), more.end());
  return some;
}

Arrival arrival_of(const scenario::Scenario& scenario, std::uint64_t cases = 4096,
                   const estimate::Options& options = {}) {
  const CaseInputs inputs(scenario, Scope::line);
  const Line line(inputs);
  const estimate::Limit target = target_of(line);
  return estimate_arrival(line, target, follow_cases(line, target, cases, options, 0), options);
}

TEST(Arrival, TendsToTheChanceOfLandingOutside) {
  for (const char* name : {"sedan.ini", "benchmark.ini", "back-to-gasoline.ini",
                           "hatchback-metered.ini", "wagon-reading.ini", "van-two-fills.ini"}) {
    const scenario::Scenario scenario = example(name, k_line);
    const CaseInputs inputs(scenario, Scope::line);
    const Line line(inputs);
    const estimate::Limit target = target_of(line);
    const estimate::Result landed = tank::estimate_side(scenario, target, {});
    for (const double burn : {k_ever, 1e7}) {
      const estimate::Result rail =
          estimate_rail(line, target, {Moment::By::burned, burn}, {}, 1U << 20U);
      EXPECT_NEAR(
          rail.estimate.chance, landed.estimate.chance,
          k_bound * std::hypot(rail.estimate.standard_error, landed.estimate.standard_error))
          << name << ' ' << burn;
    }
  }
}

/// Standard errors that the conditional chance of the rail is off that of counting at a burned
/// volume, `by` standing for a scenario to count.
double errors_apart(const scenario::Scenario& scenario, const scenario::Scenario& by,
                    double burn_l) {
  const CaseInputs inputs(scenario, Scope::line);
  const Line line(inputs);
  const estimate::Limit target = target_of(line);
  const estimate::Result rail =
      estimate_rail(line, target, {Moment::By::burned, burn_l}, {}, 1U << 20U);
  const CaseInputs counted_inputs(by, Scope::line);
  const Line counted_line(counted_inputs);
  estimate::Options crude;
  crude.method = estimate::Method::crude;
  const ArrivalCases cases = follow_cases(counted_line, target, 160'000, crude, 0);
  double hits = 0.0;
  for (std::size_t i = 0; i < cases.size(); ++i) {
    hits += cases.out_from[i] <= burn_l && burn_l < cases.out_to[i] ? 1.0 : 0.0;
  }
  const auto n = static_cast<double>(cases.size());
  const double p = hits / n;
  const double error = std::sqrt(std::max(p * (1.0 - p), 1.0 / n) / n);
  return (p - rail.estimate.chance) / std::hypot(error, rail.estimate.standard_error);
}

TEST(Arrival, ConditioningAndCountingAgreeAtEveryVolume) {
  const std::vector<Override> back =
      with(k_line, {{"line.return-flow", "uniform(20 L/h, 40 L/h)"}});
  for (const char* name : {"sedan.ini", "back-to-gasoline.ini", "wagon-reading.ini",
                           "hatchback-metered.ini", "van-two-fills.ini"}) {
    for (const auto& line : {k_line, back}) {
      const scenario::Scenario scenario = example(name, line);
      const bool returns = line.size() > k_line.size();
      for (const double share : {0.4, 0.8, 1.0, 1.3, 3.0}) {
        const double burn = share * (returns ? 0.02 : 0.55);
        EXPECT_LE(std::abs(errors_apart(scenario, scenario, burn)), k_bound) << name << ' ' << burn;
      }
    }
  }
}

TEST(Arrival, ThatComparisonSeesALineATenthLonger) {
  const scenario::Scenario scenario = example("sedan.ini", k_line);
  std::vector<Override> longer = k_line;
  longer[2].value = "normal(0.165 L, 0.02 L)";
  EXPECT_GT(std::abs(errors_apart(scenario, example("sedan.ini", longer), 0.7)), k_bound);
}

// One stirred volume: q = V ln((c − old)/(c − limit)).
TEST(Arrival, OneStirredVolumeByHand) {
  const Arrival arrival =
      arrival_of(exact_scenario({{"line.filter", "0.3 L"}, {"engine.idle", "0.9 L/h"}}));
  const double burn = 0.3 * std::log(75.0 / 25.0);
  ASSERT_TRUE(arrival.burn_l && arrival.time_s);
  for (const double q : *arrival.burn_l) EXPECT_NEAR(q, burn, 1e-8);
  for (const double t : *arrival.time_s) EXPECT_NEAR(t, burn / 0.9 * 3600.0, 1e-4);
  EXPECT_EQ(arrival.never.chance, 0.0);
  for (const RailPoint& point : arrival.rail) {
    EXPECT_EQ(point.outside.chance, point.burn_l < burn ? 1.0 : 0.0) << point.burn_l;
    EXPECT_NEAR(*point.time_s, point.burn_l / 0.9 * 3600.0, 1e-6);
  }
}

// With a return flow r the line sees (burn + r) t, and its old fuel comes back to the tank:
// c' = (50 · 0.85 + 0.3 · 0.1)/50.3.
TEST(Arrival, ReturnSystemByHand) {
  const scenario::Scenario scenario = exact_scenario(
      {{"line.filter", "0.3 L"}, {"engine.idle", "0.9 L/h"}, {"line.return-flow", "59.1 L/h"}});
  const double settled = (50.0 * 0.85 + 0.3 * 0.1) / 50.3;
  const double passed = 0.3 * std::log((settled - 0.1) / (settled - 0.6));
  const Arrival arrival = arrival_of(scenario);
  ASSERT_TRUE(arrival.burn_l && arrival.time_s);
  EXPECT_NEAR((*arrival.time_s)[2], passed / 60.0 * 3600.0, 1e-5);
  EXPECT_NEAR((*arrival.burn_l)[2], passed * 0.9 / 60.0, 1e-9);
}

// 0.9 L/h for 4 min are 0.06 L, the rest at 6 L/h.
TEST(Arrival, ScheduleTellsTheTime) {
  const Arrival arrival = arrival_of(exact_scenario({{"line.filter", "0.3 L"},
                                                     {"engine.idle", "0.9 L/h"},
                                                     {"engine.gentle", "6 L/h"},
                                                     {"engine.schedule", "idle 4 min, gentle"}}));
  const double burn = 0.3 * std::log(3.0);
  EXPECT_NEAR((*arrival.time_s)[2], 240.0 + (burn - 0.06) / 6.0 * 3600.0, 1e-4);
}

TEST(Arrival, LineMayHoldOtherFuelThanTheHeel) {
  const Arrival arrival =
      arrival_of(exact_scenario({{"line.filter", "0.3 L"}, {"line.content", "40 %"}}));
  EXPECT_NEAR((*arrival.burn_l)[2], 0.3 * std::log(45.0 / 25.0), 1e-8);
  EXPECT_FALSE(arrival.time_s);
  EXPECT_FALSE(arrival.has_time);
}

TEST(Arrival, LineThatIsWithinTheLimitArrivesAtOnce) {
  const Arrival arrival =
      arrival_of(exact_scenario({{"line.filter", "0.3 L"}, {"line.content", "70 %"}}));
  EXPECT_EQ((*arrival.burn_l)[4], 0.0);
  EXPECT_EQ(arrival.rail.front().outside.chance, 0.0);
}

TEST(Arrival, TargetIsTheLimitThatTheLineIsOutsideOf) {
  const auto side_of = [](const char* content, const char* maximum) {
    const scenario::Scenario scenario =
        exact_scenario({{"line.content", content}, {"limits.maximum", maximum}});
    const CaseInputs inputs(scenario, Scope::line);
    return target_of(Line(inputs)).side;
  };
  EXPECT_EQ(side_of("10 %", "88 %"), estimate::Side::below);
  EXPECT_EQ(side_of("90 %", "88 %"), estimate::Side::above);
  EXPECT_EQ(side_of("62 %", "88 %"), estimate::Side::below);
  EXPECT_EQ(side_of("86 %", "88 %"), estimate::Side::above);
}

TEST(Arrival, LagAndReturnFlowNeedARate) {
  for (const auto& [key, value] : std::vector<std::pair<std::string, std::string>>{
           {"sensor.lag", "5 s"}, {"line.return-flow", "uniform(20 L/h, 40 L/h)"}}) {
    const scenario::Scenario scenario = exact_scenario({{key, value}});
    const CaseInputs inputs(scenario, Scope::line);
    EXPECT_THROW(Line{inputs}, estimate::ImpossibleScenario) << key;
  }
}

TEST(Arrival, CasesAreTheSameOnAnyNumberOfThreads) {
  const scenario::Scenario scenario = example("wagon-line.ini");
  const CaseInputs inputs(scenario, Scope::line);
  const Line line(inputs);
  estimate::Options one;
  one.threads = 1;
  estimate::Options many;
  many.threads = 5;
  for (const estimate::Method method : {estimate::Method::conditional, estimate::Method::crude}) {
    one.method = many.method = method;
    const ArrivalCases a = follow_cases(line, {estimate::Side::below, 0.65}, 4000, one, 0);
    const ArrivalCases b = follow_cases(line, {estimate::Side::below, 0.65}, 4000, many, 0);
    EXPECT_EQ(a.out_to, b.out_to);
    EXPECT_EQ(a.seen, b.seen);
  }
}

// At idle, a change from a low to a high content shows its first rise after minutes and takes
// roughly five to ten to pass 60 % (common practice, no source).
TEST(Arrival, IdleTakesTheMinutesThatTunersKnow) {
  const scenario::Scenario scenario =
      example("wagon-line.ini", {{"limits.minimum", "60 %"}, {"heel.indicated", "3 L"}});
  const CaseInputs inputs(scenario, Scope::line);
  const Line line(inputs);
  const LineCase typical = line.typical();
  const models::PreparedChain chain(typical.to_sensor);
  const double first_rise_s = typical.time_once_passed(chain.quantile(0.01));
  EXPECT_GE(first_rise_s, 120.0);
  EXPECT_LE(first_rise_s, 300.0);
  const Arrival arrival = arrival_of(scenario);
  EXPECT_GE((*arrival.time_s)[0], 300.0);
  EXPECT_GE((*arrival.time_s)[2], 300.0);
  EXPECT_LE((*arrival.time_s)[2], 600.0);
}

TEST(Arrival, CommonPointsGiveTheSameCurve) {
  const scenario::Scenario scenario = example("sedan.ini", k_line);
  const CaseInputs inputs(scenario, Scope::line);
  const Line line(inputs);
  const estimate::Limit target = target_of(line);
  RailCurve curve(line, target, 1.0, {});
  double last = 1.0;
  for (const double burn : {0.4, 0.6, 0.8, 1.0, 1.5, 3.0}) {
    const double chance = curve.outside(burn).mean;
    EXPECT_LE(chance, last + 1e-9);
    last = chance;
    const estimate::Result alone =
        estimate_rail(line, target, {Moment::By::burned, burn}, {}, 1U << 20U);
    // The curve's points are fewer than those of an estimate to 1 %, and tilted for another volume.
    EXPECT_NEAR(chance / alone.estimate.chance, 1.0, 0.05) << burn;
  }
}

}  // namespace
}  // namespace blendrisk::line
