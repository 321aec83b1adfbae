#include "learn/log_fit.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>

#include "learn/changeover.hpp"
#include "learn/rates.hpp"
#include "models/infinity.hpp"
#include "scenario/read.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::learn::log_fit_test {
namespace {

/// How a log is worse than a clean one.
struct Kind {
  const char* name;
  double rate_noise = 0.0;   ///< of each logged rate, relative
  bool gap = false;          ///< five minutes without a row
  double drift_per_s = 0.0;  ///< of the sensor
  double off = 0.0;          ///< share of readings that are off by 10 points
  bool plug = false;         ///< and a sensor that lags
};

constexpr double k_filter_l = 0.16, k_pipe_l = 0.12;
constexpr double k_two_points_in_45_min = 0.02 / 2700.0;

/// An invented car, the fit's starts away from the truth.
scenario::Scenario car(bool plug) {
  return testing::scenario_of(
      "[tank]\ncapacity = 50 L\n[heel]\nindicated = 5 L\ncontent = 10 %\n[fuel]\ncontent = 80 %\n"
      "[line]\nfilter = 0.2 L\npipe = 0.1 L\n[engine]\nidle = 1 L/h\n[sensor]\nnoise = 0.3 %\n"
      "[limits]\nminimum = 60 %\n",
      {{"line.pipe-flow", plug ? "plug" : "laminar"}, {"sensor.lag", plug ? "8 s" : "0 s"}});
}

ChangeoverLog log_of(const Kind& kind, std::mt19937_64& random) {
  constexpr double k_rate = 1.42 / 3600.0;
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  models::LaggedShare share;
  const models::RatePhase phases[] = {{k_rate, k_infinity}};
  share.prepare(
      {{0.0, k_filter_l, 0.0}, k_pipe_l, kind.plug ? models::Pipe::plug : models::Pipe::laminar},
      phases, kind.plug ? 8.0 : 0.0);
  const double gap_s = kind.gap ? 200.0 + 900.0 * uniform(random) : k_infinity;
  ChangeoverLog log;
  log.file = "log.csv";
  for (std::size_t i = 0; i < 271; ++i) {
    const double time = 10.0 * static_cast<double>(i);
    if (time > gap_s && time < gap_s + 300.0) continue;
    double reading =
        0.306 + 0.418 * share.at(k_rate * time) + 0.003 * normal(random) + kind.drift_per_s * time;
    if (uniform(random) < kind.off) reading += uniform(random) < 0.5 ? -0.1 : 0.1;
    log.time_s.push_back(time);
    log.lines.push_back(i + 2);
    log.reading.push_back(reading);
    log.rate_l_per_s.push_back(k_rate * (1.0 + kind.rate_noise * normal(random)));
  }
  return log;
}

struct Held {
  int told = 0;    ///< volumes that the log is said to tell
  int held = 0;    ///< whose 95 % interval holds the truth
  int narrow = 0;  ///< whose interval of half the size does: the twin
};

std::map<std::string, Held> held_in(const Kind& kind, int logs, int& drifts, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  const scenario::Scenario scenario = car(kind.plug);
  std::map<std::string, Held> of;
  drifts = 0;
  for (int run = 0; run < logs; ++run) {
    const ChangeoverFit fit = fit_changeover(log_of(kind, random), scenario);
    drifts += fit.drift ? 1 : 0;
    for (const Fitted& one : fit.volumes) {
      if (!one.determined()) continue;
      const double truth = one.key == "line.filter" ? k_filter_l : k_pipe_l;
      const double half = 0.5 * (one.interval_95[1] - one.interval_95[0]);
      Held& held = of[one.key];
      ++held.told;
      held.held += std::abs(one.value - truth) <= half ? 1 : 0;
      held.narrow += std::abs(one.value - truth) <= 0.5 * half ? 1 : 0;
    }
  }
  return of;
}

const Kind k_kinds[] = {
    {.name = "clean"},
    {.name = "rates off by 3 %", .rate_noise = 0.03},
    {.name = "rates off by 10 %", .rate_noise = 0.1},
    {.name = "plug flow and a lag", .rate_noise = 0.03, .plug = true},
    {.name = "a gap", .rate_noise = 0.03, .gap = true},
    {.name = "a gap, rates off by 10 %", .rate_noise = 0.1, .gap = true},
    {.name = "drift", .drift_per_s = -k_two_points_in_45_min},
    {.name = "drift, rates off by 3 %", .rate_noise = 0.03, .drift_per_s = k_two_points_in_45_min},
    {.name = "outliers", .off = 0.03},
    {.name = "all of it",
     .rate_noise = 0.03,
     .gap = true,
     .drift_per_s = k_two_points_in_45_min,
     .off = 0.03}};

// 200 logs of each kind: 92 to 98 % hold the truth, and four fifths at least are told. A right 95 %
// interval is within that but for 5 logs in 100 a number (binomial, 190 +- 3.1; 184 to 196): seeds
// are fixed. Drift is told in 95 % where it is there (all but 1 in 10 000 such tests at 99 %), and
// where it is not in 1 % (more than 8 of 200: one in 2000).
TEST(LogFitSlow, IntervalsHoldTheTruthOfLogsAsTheyAre) {
  for (const Kind& kind : k_kinds) {
    int drifts = 0;
    for (const auto& [key, held] : held_in(kind, 200, drifts, 7)) {
      EXPECT_GE(held.told, 160) << kind.name << ", " << key;
      EXPECT_GE(held.held, 0.92 * held.told) << kind.name << ", " << key;
      EXPECT_LE(held.held, 0.985 * held.told) << kind.name << ", " << key;
      EXPECT_LT(held.narrow, 0.85 * held.told) << kind.name << ", " << key;
    }
    if (kind.drift_per_s != 0.0) {
      EXPECT_GE(drifts, 190) << kind.name;
    } else {
      EXPECT_LE(drifts, 8) << kind.name;
    }
  }
}

TEST(LogFit, ReadingsThatAreOffAreNamedAndTheRestFitsAsWithoutThem) {
  std::mt19937_64 random(3);
  ChangeoverLog log = log_of({.name = "clean"}, random);
  const ChangeoverFit clean = fit_changeover(log, car(false));
  EXPECT_TRUE(clean.off_lines.empty());
  for (const std::size_t row : {20U, 21U, 90U, 200U}) log.reading[row] += 0.1;
  const ChangeoverFit fit = fit_changeover(log, car(false));
  EXPECT_EQ(fit.off_lines, (std::vector<std::size_t>{22, 23, 92, 202}));
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_NEAR(fit.volumes[i].value, clean.volumes[i].value, clean.volumes[i].standard_error);
  }
  EXPECT_NEAR(fit.residual_sd, clean.residual_sd, 0.1 * clean.residual_sd);
}

// More than one in ten is not outliers but another line.
TEST(LogFit, AQuarterOfTheReadingsIsNotLeftOut) {
  std::mt19937_64 random(4);
  ChangeoverLog log = log_of({.name = "clean"}, random);
  for (std::size_t row = 0; row < log.reading.size(); row += 4) log.reading[row] += 0.2;
  const ChangeoverFit fit = fit_changeover(log, car(false));
  EXPECT_TRUE(fit.off_lines.empty());
  for (const Fitted& one : fit.volumes) EXPECT_FALSE(one.determined()) << one.key;
}

// Few values of a display are not outliers of each other, however little it moves on a plateau.
TEST(LogFit, StepsOfADisplayAreNotOutliers) {
  std::mt19937_64 random(5);
  ChangeoverLog log = log_of({.name = "clean"}, random);
  for (double& reading : log.reading) reading = 0.02 * std::round(reading / 0.02);
  EXPECT_TRUE(fit_changeover(log, car(false)).off_lines.empty());
}

TEST(LogFit, DriftIsFittedAndTheVolumesStand) {
  std::mt19937_64 random(6);
  const ChangeoverLog log = log_of({.name = "", .drift_per_s = k_two_points_in_45_min}, random);
  const ChangeoverFit fit = fit_changeover(log, car(false));
  ASSERT_TRUE(fit.drift);
  EXPECT_NEAR(fit.drift->value, k_two_points_in_45_min, 5.0 * fit.drift->standard_error);
  EXPECT_LT(fit.drift->standard_error, 0.2 * k_two_points_in_45_min);
  EXPECT_NEAR(fit.after.value, 0.724, 5.0 * fit.after.standard_error);
}

// 400 rates: the median of second differences is within a tenth of the scatter but for 1 in 1000.
TEST(Rates, ScatterIsThatOfARateAndNotOfItsCourse) {
  std::mt19937_64 random(8);
  std::normal_distribution<double> normal;
  ChangeoverLog log;
  for (int i = 0; i < 4000; ++i) {
    log.time_s.push_back(10.0 * i);
    const double course = 1.5 + 0.5 * std::sin(0.01 * i) + (i > 2000 ? 4.0 : 0.0);
    log.rate_l_per_s.push_back(course / 3600.0 * (1.0 + 0.05 * normal(random)));
  }
  EXPECT_NEAR(rate_scatter(log), 0.05, 0.005);
  for (double& rate : log.rate_l_per_s) rate = 1.2 / 3600.0;
  EXPECT_EQ(rate_scatter(log), 0.0);
  log.rate_l_per_s.clear();
  EXPECT_EQ(rate_scatter(log), 0.0);
}

// The trapezoid's own errors, by drawing: 2000 logs, the variance of what the rates' noise adds to
// the burned volume within 5 standard errors (√(2/2000)) of the walk's.
TEST(Rates, WalkIsTheVarianceOfTheBurnedVolume) {
  std::mt19937_64 random(9);
  std::normal_distribution<double> normal;
  const std::vector<double> times{0, 10, 20, 30, 60, 70, 80, 120, 130, 140, 150, 160};
  double squares = 0.0, walked = 0.0;
  constexpr int k_logs = 2000;
  for (int run = 0; run < k_logs; ++run) {
    double burned = 0.0;
    std::vector<double> errors;
    for (std::size_t i = 0; i < times.size(); ++i) errors.push_back(0.02 * normal(random));
    for (std::size_t i = 1; i < times.size(); ++i) {
      burned += 0.5 * (errors[i - 1] + errors[i]) * (times[i] - times[i - 1]);
    }
    squares += burned * burned;
  }
  // Rates whose scatter is that noise: second differences all of one size about 1.
  ChangeoverLog log;
  log.time_s = times;
  for (std::size_t i = 0; i < times.size(); ++i) {
    log.rate_l_per_s.push_back(1.0 +
                               (i % 2 == 0 ? 1.0 : -1.0) * 0.25 * 0.02 * 0.67449 * std::sqrt(6.0));
  }
  EXPECT_NEAR(rate_scatter(log), 0.02, 0.0005);
  for (const double variance : burned_walk(log)) walked += variance;
  const double variance = squares / k_logs;
  // The ends have no neighbour, for which the next interval stands: a quarter of its square more.
  const double ends = 0.02 * 0.02 * 0.25 * (10.0 * 10.0 + 10.0 * 10.0);
  EXPECT_NEAR(walked - ends, variance, (5.0 * std::sqrt(2.0 / k_logs) + 0.02) * variance);
}

}  // namespace
}  // namespace blendrisk::learn::log_fit_test
