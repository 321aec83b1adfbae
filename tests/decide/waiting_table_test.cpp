#include "decide/waiting_table.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <random>
#include <vector>

#include "decide/arrive.hpp"
#include "tests/random_plans.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::decide::waiting_table_test {
namespace {

using line::ArrivalCases;
using scenario::Override;
using testing::example;
using testing::scenario_of;

/// A false alarm of one in a million a comparison.
constexpr double k_false_alarm = 1e-6;

ArriveResult arrive(const scenario::Scenario& scenario, std::uint64_t seed = 1) {
  estimate::Options options;
  options.seed = seed;
  return solve_arrive(scenario, options, 0.01);
}

/// What became of changeovers that were followed to their end.
struct Changeovers {
  std::uint64_t all = 0, switched = 0, early = 0;
  std::vector<std::uint64_t> by_look;  ///< how many switched there

  double share_by(std::size_t look) const {
    std::uint64_t sum = 0;
    for (std::size_t k = 0; k <= look; ++k) sum += by_look[k];
    return static_cast<double>(sum) / static_cast<double>(all);
  }
  /// The look by which a share has switched; one past the last where it never has.
  std::size_t look_of(double share) const {
    std::size_t look = 0;
    while (look < by_look.size() && share_by(look) < share) ++look;
    return look;
  }
  bool too_many_early(double accepted) const {
    const boost::math::binomial law(static_cast<double>(switched), accepted);
    return early > 0 && boost::math::cdf(boost::math::complement(
                            law, static_cast<double>(early) - 1.0)) < k_false_alarm;
  }
};

std::vector<double> looks_of(const WaitingTable& table) {
  std::vector<double> looks;
  for (int k = 0; table.rows.front().burn_l + k * table.every_l < table.until_l + 1e-9; ++k) {
    looks.push_back(table.rows.front().burn_l + k * table.every_l);
  }
  return looks;
}

/// Counts independent cases of `truth`, each looked at with a fresh noise: at look k the display
/// has to show the reading wanted(k) or one beyond.
template <class Wanted>
Changeovers counted(const scenario::Scenario& truth, const WaitingTable& table,
                    const Wanted& wanted) {
  const std::vector<double> looks = looks_of(table);
  const sampling::CaseInputs inputs(truth, sampling::Scope::line);
  const line::Line line(inputs);
  const estimate::Limit target = line::target_of(line);
  estimate::Options options;
  options.method = estimate::Method::crude;
  options.seed = 77;
  const ArrivalCases cases =
      line::follow_cases(line, target, std::uint64_t{1} << 17U, options, 0, looks);
  std::mt19937_64 engine(5);
  std::normal_distribution<double> noise;
  const scenario::Sensor& sensor = truth.sensor;
  Changeovers result;
  result.all = cases.size();
  result.by_look.resize(looks.size());
  for (std::size_t i = 0; i < cases.size(); ++i) {
    for (std::size_t look = 0; look < looks.size(); ++look) {
      const double shown = models::displayed(
          cases.shown[look][i] + cases.bias[i] + sensor.noise_sd * noise(engine), sensor.step);
      if (target.sign() * (shown - wanted(look)) < -1e-9) continue;
      ++result.switched;
      ++result.by_look[look];
      const bool out = cases.out_from[i] <= looks[look] && looks[look] < cases.out_to[i];
      result.early += out ? 1U : 0U;
      break;
    }
  }
  return result;
}

Changeovers by_table(const scenario::Scenario& truth, const WaitingTable& table) {
  return counted(truth, table, [&](std::size_t look) {
    return table.rows[std::min(look, table.rows.size() - 1)].reading;
  });
}

const std::vector<Override> k_line{{"line.pipe", "normal(0.10 L, 0.01 L)"},
                                   {"line.filter", "normal(0.15 L, 0.02 L)"},
                                   {"line.beyond-sensor", "0.03 L"},
                                   {"engine.idle", "normal(1 L/h, 0.1 L/h)"},
                                   {"sensor.bias", "normal(0 %, 1.5 %)"},
                                   {"sensor.noise", "0.5 %"},
                                   {"sensor.step", "0.5 %"},
                                   {"sensor.lag", "5 s"}};

struct Answered {
  std::string name;
  scenario::Scenario scenario;
  ArriveResult result;
  Changeovers followed;  ///< none where there is no table
};

/// Examples with a line of their own or this one, and random plans that have one.
std::vector<std::pair<std::string, scenario::Scenario>> scenarios() {
  std::vector<std::pair<std::string, scenario::Scenario>> all{
      {"wagon-line.ini", example("wagon-line.ini")}};
  for (const char* name : {"sedan.ini", "benchmark.ini", "back-to-gasoline.ini",
                           "hatchback-metered.ini", "wagon-reading.ini", "van-two-fills.ini"}) {
    all.push_back({name, example(name, k_line)});
  }
  testing::RandomPlans plans(20);
  for (int found = 0; found < 20;) {
    const auto limits = static_cast<testing::Limits>(found % 2);
    const std::string text = plans.next(limits);
    if (text.find("[line]") == std::string::npos) continue;
    all.push_back({"plan " + std::to_string(found++), scenario_of(text)});
  }
  return all;
}

/// Their answers, and their changeovers by the table; made once.
const std::vector<Answered>& answers() {
  static const std::vector<Answered> all = [] {
    std::vector<Answered> made;
    for (const auto& [name, scenario] : scenarios()) {
      made.push_back({name, scenario, arrive(scenario), {}});
      const WaitingTable& table = made.back().result.waiting;
      if (!table.rows.empty()) made.back().followed = by_table(scenario, table);
    }
    return made;
  }();
  return all;
}

TEST(WaitingTable, RowsFallAndNeverPassTheLimit) {
  std::size_t tables = 0;
  for (const auto& [name, scenario, result, followed] : answers()) {
    const auto& rows = result.waiting.rows;
    EXPECT_EQ(rows.empty(), result.waiting.why_none.has_value()) << name;
    if (rows.empty()) continue;
    ++tables;
    const double sign = result.arrival.target.sign();
    for (std::size_t k = 0; k < rows.size(); ++k) {
      EXPECT_GE(sign * (rows[k].reading - result.arrival.target.value), -1e-9) << name;
      if (k == 0) continue;
      EXPECT_LE(sign * (rows[k].reading - rows[k - 1].reading), 1e-9) << name;
      EXPECT_GE(rows[k].shown_by_then, rows[k - 1].shown_by_then) << name;
      EXPECT_GE(rows[k].within, rows[k - 1].within - 0.02) << name;
      EXPECT_NEAR(rows[k].burn_l - rows[k - 1].burn_l, result.waiting.every_l, 1e-9) << name;
    }
    EXPECT_LE(rows.back().shown_by_then, result.waiting.triggers + 1e-12) << name;
  }
  EXPECT_GE(tables, 15U);
}

// Simulated with a fresh noise at every look. False alarms: 1e-6 a scenario.
TEST(WaitingTable, FollowedItIsTooEarlyWithinTheAcceptedRisk) {
  for (const auto& [name, scenario, result, followed] : answers()) {
    const WaitingTable& table = result.waiting;
    if (table.rows.empty()) continue;
    EXPECT_FALSE(followed.too_many_early(scenario.limits.accepted_risk))
        << name << ' ' << followed.early << " of " << followed.switched;
    // What it says of itself: 4.9 standard errors of both.
    const auto n = static_cast<double>(followed.switched);
    const double early = static_cast<double>(followed.early) / n;
    EXPECT_NEAR(
        early, table.too_early.chance,
        4.9 * std::hypot(std::sqrt(std::max(early, 1e-4) / n), table.too_early.standard_error))
        << name;
    const double all = n / static_cast<double>(followed.all);
    EXPECT_NEAR(all, table.triggers, 4.9 * std::sqrt(0.25 / 16384.0)) << name;
    for (std::size_t k = 0; k < table.rows.size(); ++k) {
      EXPECT_NEAR(followed.share_by(k), table.rows[k].shown_by_then,
                  4.9 * std::sqrt(0.25 / 16384.0))
          << name << ' ' << k;
    }
  }
}

// The twin: a table made for a sensor without bias, followed with one that has it.
TEST(WaitingTable, TableOfABetterSensorIsFoundOut) {
  const WaitingTable table = arrive(example("wagon-line.ini", {{"sensor.bias", "0 %"}})).waiting;
  ASSERT_FALSE(table.rows.empty());
  EXPECT_TRUE(by_table(example("wagon-line.ini"), table).too_many_early(0.01));
}

// Nine in ten have switched no later than by the one reading that does whenever it shows, looked at
// as often.
TEST(WaitingTable, NineInTenSwitchNoLaterThanByOneReading) {
  std::size_t compared = 0;
  for (const auto& [name, scenario, result, followed] : answers()) {
    if (!result.wait_for.reading || result.waiting.rows.empty()) continue;
    const double reading = *result.wait_for.reading;
    const Changeovers one =
        counted(scenario, result.waiting, [reading](std::size_t) { return reading; });
    EXPECT_LE(followed.look_of(0.9), one.look_of(0.9)) << name;
    ++compared;
  }
  EXPECT_GE(compared, 10U);
}

TEST(WaitingTable, NineInTenWagonsSwitchWhereOneReadingShowsInTwo) {
  const auto& [name, scenario, result, followed] = answers().front();
  const std::vector<double> looks = looks_of(result.waiting);
  const std::size_t look = followed.look_of(0.9);
  ASSERT_LT(look, looks.size());
  EXPECT_LE(looks[look], 0.70 + 1e-9);
  EXPECT_LT(result.wait_for.triggers, 0.25);
}

// Other points give the same rows to a step of the display.
TEST(WaitingTable, RowsDoNotHangOnTheSeed) {
  const scenario::Scenario wagon = example("wagon-line.ini");
  const WaitingTable first = arrive(wagon).waiting;
  for (const std::uint64_t seed : {2U, 3U, 4U}) {
    const WaitingTable other = arrive(wagon, seed).waiting;
    for (const WaitingRow& row : other.rows) {
      for (const WaitingRow& as : first.rows) {
        if (std::abs(as.burn_l - row.burn_l) > 1e-9) continue;
        EXPECT_LE(std::abs(as.reading - row.reading), wagon.sensor.step + 1e-9) << row.burn_l;
      }
    }
  }
}

// Everything is known but the pump's content, normal, and the sensor's bias, normal: the specific
// risk given a reading is that of the posterior, normal again (JCGM 106:2012, from memory).
TEST(WaitingTable, SpecificRiskOfANormalBias) {
  const boost::math::normal standard;
  const double z = boost::math::quantile(standard, 0.99);
  const double bias = 0.02;
  for (const bool back : {false, true}) {
    const std::string text = "[tank]\ncapacity = 50 L\n[heel]\nindicated = 0 L\ncontent = " +
                             std::string(back ? "90 %" : "10 %") + "\n[fuel]\ncontent = normal(" +
                             (back ? "30 %" : "70 %") +
                             ", 3 %)\n[line]\nfilter = 0.3 L\n[sensor]\nbias = normal(0 %, 2 %)\n" +
                             "[limits]\n" + (back ? "maximum = 38 %" : "minimum = 62 %") + "\n";
    const WaitingTable table = arrive(scenario_of(text)).waiting;
    ASSERT_GE(table.rows.size(), 3U);
    std::size_t above = 0;
    for (const WaitingRow& row : table.rows) {
      const double share = 1.0 - std::exp(-row.burn_l / 0.3);
      const double mean = 0.10 + 0.60 * share;
      const double sd = 0.03 * share;
      const double precision = 1.0 / (sd * sd) + 1.0 / (bias * bias);
      const double wanted =
          bias * bias * ((0.62 + z / std::sqrt(precision)) * precision - mean / (sd * sd));
      const double told = back ? 1.0 - row.reading : row.reading;
      EXPECT_NEAR(told, std::max(wanted + 0.0005, 0.62), 0.0015) << back << ' ' << row.burn_l;
      above += wanted > 0.62 ? 1U : 0U;
    }
    EXPECT_GE(above, 2U);
  }
}

TEST(WaitingTable, ExactSensorAtTheInjectorsWaitsForTheLimit) {
  const WaitingTable table =
      arrive(scenario_of("[tank]\ncapacity = 50 L\n[heel]\nindicated = 0 L\ncontent = 10 %\n"
                         "[fuel]\ncontent = uniform(75 %, 85 %)\n[line]\nfilter = 0.3 L\n"
                         "[limits]\nminimum = 55 %\n"))
          .waiting;
  ASSERT_FALSE(table.rows.empty());
  EXPECT_NEAR(table.rows.front().reading, 0.55, 0.0011);
  EXPECT_NEAR(table.rows.back().reading, 0.55, 1e-9);
  EXPECT_NEAR(table.triggers, 1.0, 1e-9);
}

TEST(WaitingTable, NothingToWaitForHasNoRows) {
  const WaitingTable table = arrive(example("wagon-line.ini", {{"line.content", "70 %"}})).waiting;
  EXPECT_TRUE(table.rows.empty());
  EXPECT_EQ(table.why_none, NoReading::within_already);
}

}  // namespace
}  // namespace blendrisk::decide::waiting_table_test
