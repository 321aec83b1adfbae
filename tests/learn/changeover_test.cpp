#include "learn/changeover.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <map>
#include <random>

#include "learn/line_model.hpp"
#include "scenario/read.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::learn {
namespace {

using scenario::Override;
using testing::scenario_of;

/// An invented car whose line the logs are about; starts of the fit away from the truth.
scenario::Scenario car(std::vector<Override> more = {}) {
  return scenario_of(
      "[tank]\ncapacity = 50 L\n[heel]\nindicated = 5 L\ncontent = 10 %\n[fuel]\ncontent = 80 %\n"
      "[line]\nreservoir = 0.4 L\nfilter = 0.1 L\npipe = 0.2 L\n[engine]\nidle = 1 L/h\n"
      "[sensor]\nnoise = 0.3 %\n[limits]\nminimum = 60 %\n",
      more);
}

struct Truth {
  Volumes volumes{0.5, 0.15, 0.14};
  models::Pipe pipe = models::Pipe::laminar;
  double before = 0.12, after = 0.76, noise = 0.003, rate_l_per_s = 1.2 / 3600.0;
  double every_s = 15.0;
  int rows = 400;
  double lag_s = 0.0;
  double step = 0.0;
  bool log_rate = true;
};

ChangeoverLog log_of(const Truth& truth, std::mt19937_64& random) {
  std::normal_distribution<double> normal;
  ChangeoverLog log;
  log.file = "log.csv";
  models::LaggedShare share;
  const models::RatePhase phases[] = {
      {truth.rate_l_per_s, std::numeric_limits<double>::infinity()}};
  share.prepare({{truth.volumes[0], truth.volumes[1], 0.0}, truth.volumes[2], truth.pipe}, phases,
                truth.lag_s);
  for (int i = 0; i < truth.rows; ++i) {
    const double time = truth.every_s * i;
    const double l = share.at(truth.rate_l_per_s * time);
    log.time_s.push_back(time);
    log.lines.push_back(static_cast<std::size_t>(i) + 2);
    const double reading =
        truth.before + (truth.after - truth.before) * l + truth.noise * normal(random);
    log.reading.push_back(truth.step > 0.0 ? truth.step * std::round(reading / truth.step)
                                           : reading);
    if (truth.log_rate) log.rate_l_per_s.push_back(truth.rate_l_per_s);
  }
  return log;
}

const Fitted& volume(const ChangeoverFit& fit, const std::string& key) {
  for (const Fitted& one : fit.volumes) {
    if (one.key == key) return one;
  }
  throw std::runtime_error("no " + key);
}

bool holds(const Fitted& one, double truth) {
  return one.interval_95[0] <= truth && truth <= one.interval_95[1];
}

/// How many of `runs` logs each interval holds the truth in, and ("twin") intervals of half the
/// size.
std::map<std::string, int> held_in(int runs, models::Pipe pipe, std::uint64_t seed) {
  Truth truth;
  truth.pipe = pipe;
  const scenario::Scenario scenario =
      car({{"line.pipe-flow", pipe == models::Pipe::plug ? "plug" : "laminar"}});
  std::mt19937_64 random(seed);
  std::map<std::string, int> held;
  for (int run = 0; run < runs; ++run) {
    const ChangeoverFit fit = fit_changeover(log_of(truth, random), scenario);
    const Fitted& reservoir = volume(fit, "line.reservoir");
    held["before"] += holds(fit.before, truth.before) ? 1 : 0;
    held["after"] += holds(fit.after, truth.after) ? 1 : 0;
    held["reservoir"] += holds(reservoir, truth.volumes[0]) ? 1 : 0;
    held["filter"] += holds(volume(fit, "line.filter"), truth.volumes[1]) ? 1 : 0;
    held["pipe"] += holds(volume(fit, "line.pipe"), truth.volumes[2]) ? 1 : 0;
    Fitted twin = reservoir;
    for (double& end : twin.interval_95) end = 0.5 * (end + twin.value);
    held["twin"] += holds(twin, truth.volumes[0]) ? 1 : 0;
  }
  return held;
}

// 200 logs: a right 95 % interval holds the truth in 184 to 196 but for 4 % of such tests
// (binomial, 190 +- 6), up to five times as often in one of five numbers; seeds fixed.
TEST(Changeover, IntervalsHoldTheTruthOf200Logs) {
  for (const models::Pipe pipe : {models::Pipe::laminar, models::Pipe::plug}) {
    for (const auto& [name, count] : held_in(200, pipe, 17)) {
      if (name == "twin") {
        EXPECT_LT(count, 184);
      } else {
        EXPECT_GE(count, 184) << name;
        EXPECT_LE(count, 196) << name;
      }
      RecordProperty(name + (pipe == models::Pipe::plug ? "_plug" : "_laminar"), count);
    }
  }
}

// 2000 logs: 95 % within 3.9 standard errors of the share (1.9 %), one false alarm in 1000 for the
// ten numbers.
TEST(ChangeoverSlow, IntervalsHoldTheTruthOf2000Logs) {
  for (const models::Pipe pipe : {models::Pipe::laminar, models::Pipe::plug}) {
    for (const auto& [name, count] : held_in(2000, pipe, 1000)) {
      if (name == "twin") {
        EXPECT_LT(count, 1862);
      } else {
        EXPECT_GE(count, 1862) << name;
        EXPECT_LE(count, 1938) << name;
      }
    }
  }
}

TEST(Changeover, LagIsTakenOutWithAndWithoutALoggedRate) {
  for (const bool log_rate : {true, false}) {
    Truth truth;
    truth.lag_s = 40.0;
    truth.noise = 1e-5;
    truth.every_s = 6.0;
    truth.rows = 900;
    truth.log_rate = log_rate;
    std::mt19937_64 random(3);
    const ChangeoverFit fit = fit_changeover(
        log_of(truth, random), car({{"sensor.lag", "40 s"}, {"engine.idle", "1.2 L/h"}}));
    EXPECT_NEAR(volume(fit, "line.reservoir").value, 0.5, 2e-3);
    EXPECT_NEAR(volume(fit, "line.filter").value, 0.15, 2e-3);
    EXPECT_NEAR(volume(fit, "line.pipe").value, 0.14, 2e-3);
  }
}

TEST(Changeover, WithoutARateTheVolumesRestOnTheScenarios) {
  Truth truth;
  truth.log_rate = false;
  std::mt19937_64 random(5);
  const ChangeoverLog log = log_of(truth, random);
  const ChangeoverFit exact = fit_changeover(log, car({{"engine.idle", "1.2 L/h"}}));
  const ChangeoverFit spread =
      fit_changeover(log, car({{"engine.idle", "normal(1.2 L/h, 0.12 L/h)"}}));
  EXPECT_FALSE(exact.idle);
  const Fitted& a = volume(exact, "line.reservoir");
  const Fitted& b = volume(spread, "line.reservoir");
  EXPECT_NEAR(a.value, 0.5, 5.0 * a.standard_error);
  EXPECT_NEAR(b.standard_error, std::hypot(a.standard_error, 0.1 * b.value), 1e-4);
  // Half the rate is half the volume.
  const ChangeoverFit half = fit_changeover(log, car({{"engine.idle", "0.6 L/h"}}));
  EXPECT_NEAR(volume(half, "line.reservoir").value, 0.5 * a.value, 1e-3);
}

TEST(Changeover, LoggedRateGivesTheIdle) {
  Truth truth;
  std::mt19937_64 random(6);
  ChangeoverLog log = log_of(truth, random);
  std::normal_distribution<double> normal;
  for (double& rate : log.rate_l_per_s) rate *= 1.0 + 0.02 * normal(random);
  const ChangeoverFit fit = fit_changeover(log, car());
  ASSERT_TRUE(fit.idle);
  EXPECT_NEAR(fit.idle->value, truth.rate_l_per_s, 5.0 * fit.idle->standard_error);
  for (std::size_t i = 0; i < log.rate_l_per_s.size(); i += 2) log.rate_l_per_s[i] *= 6.0;
  EXPECT_FALSE(fit_changeover(log, car()).idle);
}

// A rate that falls as the engine warms up is not that many independent readings of one idle.
TEST(Changeover, DriftOfTheRateIsInTheErrorOfTheIdle) {
  Truth truth;
  std::mt19937_64 random(19);
  ChangeoverLog log = log_of(truth, random);
  const auto n = static_cast<double>(log.rate_l_per_s.size());
  for (std::size_t i = 0; i < log.rate_l_per_s.size(); ++i) {
    log.rate_l_per_s[i] *= 1.0 + 0.3 * (0.5 - static_cast<double>(i) / n);
  }
  const double sd = 0.3 * truth.rate_l_per_s / std::sqrt(12.0);
  const ChangeoverFit fit = fit_changeover(log, car());
  ASSERT_TRUE(fit.idle);
  EXPECT_GT(fit.idle->standard_error, 5.0 * sd / std::sqrt(n));
  EXPECT_LE(fit.idle->standard_error, sd);
}

TEST(Changeover, TwoVolumesThatCannotBeToldApartAreTheirSum) {
  Truth truth;
  truth.volumes = {0.3, 0.28, 0.1};
  truth.noise = 0.01;
  truth.rows = 60;
  truth.every_s = 100.0;
  std::mt19937_64 random(8);
  const ChangeoverFit fit = fit_changeover(log_of(truth, random), car({{"sensor.noise", "1 %"}}));
  EXPECT_FALSE(volume(fit, "line.reservoir").determined());
  EXPECT_FALSE(volume(fit, "line.filter").determined());
  ASSERT_TRUE(fit.stirred_sum);
  EXPECT_NEAR(fit.stirred_sum->value, 0.58, 5.0 * fit.stirred_sum->standard_error);
  EXPECT_LT(fit.stirred_sum->standard_error, 0.06);
}

bool says(const ChangeoverFit& fit, Note::What what) {
  return std::ranges::count(fit.notes, what, &Note::what) > 0;
}

// 100 lines without a filter. It is told at the 1 % of the F test: more than 5 times is a false
// alarm of 5 in 10 000. The other intervals hold the truth in 95 %: fewer than 87, one in 1000.
TEST(Changeover, PartThatIsNotThereIsNotInventedAndDoesNotSpoilTheOthers) {
  Truth truth;
  truth.volumes = {0.5, 0.0, 0.14};
  std::mt19937_64 random(9);
  int told = 0;
  int reservoir = 0;
  int pipe = 0;
  for (int run = 0; run < 100; ++run) {
    const ChangeoverFit fit = fit_changeover(log_of(truth, random), car());
    const Fitted& filter = volume(fit, "line.filter");
    told += filter.determined() ? 1 : 0;
    reservoir += holds(volume(fit, "line.reservoir"), truth.volumes[0]) ? 1 : 0;
    pipe += holds(volume(fit, "line.pipe"), truth.volumes[2]) ? 1 : 0;
  }
  EXPECT_LE(told, 5);
  EXPECT_GE(reservoir, 87);
  EXPECT_GE(pipe, 87);
}

// The one stirred volume there is goes to the one that the scenario has larger.
TEST(Changeover, OfTwoStirredVolumesTheSmallerOneIsMissing) {
  Truth truth;
  truth.volumes = {0.5, 0.0, 0.14};
  truth.noise = 1e-5;
  std::mt19937_64 random(14);
  const ChangeoverFit fit = fit_changeover(
      log_of(truth, random), car({{"line.reservoir", "0.1 L"}, {"line.filter", "0.4 L"}}));
  EXPECT_FALSE(volume(fit, "line.reservoir").determined());
  EXPECT_NEAR(volume(fit, "line.filter").value, 0.5, 5e-3);
}

// A display that steps by far more than the noise errs for minutes on end. 100 logs: intervals that
// hold the truth in 95 % do so in fewer than 87 once in 1000; half as wide ones, the twin, hold the
// pipe in fewer (and those of independent residuals in 73).
TEST(Changeover, IntervalsHoldTheTruthWhereTheDisplaySteps) {
  Truth truth;
  truth.step = 0.005;
  truth.noise = 0.0005;
  std::mt19937_64 random(15);
  std::uniform_real_distribution<double> uniform(0.9, 1.1);
  std::map<std::string, int> held;
  for (int run = 0; run < 100; ++run) {
    Truth one = truth;
    one.before *= uniform(random);
    one.volumes[0] *= uniform(random);
    one.volumes[2] *= uniform(random);
    const ChangeoverFit fit = fit_changeover(
        log_of(one, random), car({{"sensor.step", "0.5 %"}, {"sensor.noise", "0.05 %"}}));
    held["reservoir"] += holds(volume(fit, "line.reservoir"), one.volumes[0]) ? 1 : 0;
    held["filter"] += holds(volume(fit, "line.filter"), one.volumes[1]) ? 1 : 0;
    Fitted pipe = volume(fit, "line.pipe");
    held["pipe"] += holds(pipe, one.volumes[2]) ? 1 : 0;
    for (double& end : pipe.interval_95) end = 0.5 * (end + pipe.value);
    held["twin"] += holds(pipe, one.volumes[2]) ? 1 : 0;
  }
  EXPECT_LT(held["twin"], 87);
  for (const char* name : {"reservoir", "filter", "pipe"}) EXPECT_GE(held[name], 87) << name;
}

TEST(Changeover, OtherLawOfThePipeIsSaidWhereItFitsBetter) {
  Truth truth;
  truth.pipe = models::Pipe::plug;
  truth.noise = 0.001;
  std::mt19937_64 random(16);
  const ChangeoverLog log = log_of(truth, random);
  EXPECT_TRUE(says(fit_changeover(log, car()), Note::What::other_flow));
  const ChangeoverFit right = fit_changeover(log, car({{"line.pipe-flow", "plug"}}));
  EXPECT_FALSE(says(right, Note::What::other_flow));
  EXPECT_FALSE(says(right, Note::What::either_flow));
}

// The reading swings to and fro, which no line makes it do.
TEST(Changeover, LineThatIsNotAsModelledIsSaidAndWidened) {
  Truth truth;
  truth.noise = 0.0005;
  truth.rows = 800;
  std::mt19937_64 random(17);
  ChangeoverLog log = log_of(truth, random);
  const ChangeoverFit independent = fit_changeover(log, car());
  EXPECT_FALSE(says(independent, Note::What::correlated));
  EXPECT_FALSE(says(independent, Note::What::display_steps));
  for (std::size_t i = 0; i < log.reading.size(); ++i) {
    log.reading[i] += 0.01 * std::sin(0.001 * log.time_s[i]);
  }
  const ChangeoverFit fit = fit_changeover(log, car());
  EXPECT_GT(fit.correlation_length, 4.0);
  EXPECT_TRUE(says(fit, Note::What::correlated));
}

TEST(Changeover, SpreadOfTheReturnFlowIsInTheVolumes) {
  Truth truth;
  std::mt19937_64 random(18);
  const ChangeoverLog log = log_of(truth, random);
  const Fitted exact =
      volume(fit_changeover(log, car({{"line.return-flow", "1.2 L/h"}})), "line.reservoir");
  const Fitted spread =
      volume(fit_changeover(log, car({{"line.return-flow", "normal(1.2 L/h, 0.24 L/h)"}})),
             "line.reservoir");
  EXPECT_NEAR(exact.value, 1.0, 5.0 * exact.standard_error);
  EXPECT_NEAR(spread.standard_error, std::hypot(exact.standard_error, 0.1 * exact.value), 1e-3);
}

TEST(Changeover, LogThatEndsTooSoonIsSaid) {
  Truth truth;
  truth.rows = 100;
  std::mt19937_64 random(10);
  const ChangeoverFit fit = fit_changeover(log_of(truth, random), car());
  EXPECT_LT(fit.last_share, 0.9);
  EXPECT_TRUE(says(fit, Note::What::ends_early));
}

TEST(Changeover, FitThatIsNotOneIsSaid) {
  Truth truth;
  truth.noise = 0.001;
  std::mt19937_64 random(11);
  const ChangeoverFit fit =
      fit_changeover(log_of(truth, random), car({{"sensor.noise", "0.05 %"}}));
  EXPECT_NEAR(fit.residual_sd, 0.001, 0.001 * 5.0 / std::sqrt(2.0 * fit.dof));
  EXPECT_TRUE(says(fit, Note::What::scatters));
}

TEST(Changeover, ReadingsThatFollowNoLineGiveNoVolumes) {
  Truth truth;
  truth.noise = 0.15;
  std::mt19937_64 random(14);
  for (const char* noise : {"0.3 %", "0 %"}) {
    const ChangeoverFit fit = fit_changeover(log_of(truth, random), car({{"sensor.noise", noise}}));
    for (const Fitted& one : fit.volumes) EXPECT_FALSE(one.determined()) << one.key;
    EXPECT_FALSE(fit.stirred_sum);
  }
}

TEST(Changeover, BinsOfALongLogSayTheSame) {
  Truth truth;
  truth.rows = 60'000;
  truth.every_s = 0.1;
  truth.noise = 0.02;
  std::mt19937_64 random(12);
  const ChangeoverLog log = log_of(truth, random);
  const ChangeoverFit fit = fit_changeover(log, car({{"sensor.noise", "2 %"}}));
  EXPECT_EQ(fit.rows, 60'000U);
  EXPECT_EQ(fit.bins, k_most_bins);
  // The residual of one reading, not of a bin.
  EXPECT_NEAR(fit.residual_sd, 0.02, 0.02 * 5.0 / std::sqrt(2.0 * fit.dof));
  EXPECT_NEAR(volume(fit, "line.reservoir").value, 0.5,
              5.0 * volume(fit, "line.reservoir").standard_error);
  EXPECT_NEAR(volume(fit, "line.pipe").value, 0.14, 5.0 * volume(fit, "line.pipe").standard_error);
}

TEST(Changeover, LogsThatTellNothingAreRefused) {
  Truth truth;
  std::mt19937_64 random(13);
  const auto refused = [&](const Truth& wrong, UntellingLog::Why why) {
    try {
      fit_changeover(log_of(wrong, random), car());
      FAIL();
    } catch (const UntellingLog& error) {
      EXPECT_EQ(error.why, why);
      EXPECT_EQ(error.rows, why == UntellingLog::Why::few_rows ? 6U : 0U);
    }
  };
  Truth few = truth;
  few.rows = 6;
  refused(few, UntellingLog::Why::few_rows);
  Truth still = truth;
  still.after = still.before;
  still.noise = 0.001;
  refused(still, UntellingLog::Why::steady);
  Truth no_rate = truth;
  no_rate.log_rate = false;
  try {
    fit_changeover(log_of(no_rate, random),
                   scenario_of("[tank]\ncapacity = 50 L\n[heel]\nindicated = 5 L\ncontent = 10 %\n"
                               "[fuel]\ncontent = 80 %\n[limits]\nminimum = 60 %\n"));
    FAIL();
  } catch (const UntellingLog& error) {
    EXPECT_EQ(error.why, UntellingLog::Why::no_rate);
  }
}

}  // namespace
}  // namespace blendrisk::learn
