#include "decide/policy.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "decide/fill.hpp"
#include "decide/policy_costs.hpp"
#include "numeric/vector_math.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::decide::policy_test {
namespace {

using testing::scenario_of;
using Overrides = std::vector<scenario::Override>;

/// 6 L of 10 %, minimum 65 %, a pump of 80 % ± 2 %, in a tank with room.
constexpr const char* k_car =
    "[tank]\ncapacity = 90 L\n[heel]\nindicated = 6 L\ncontent = 10 %\ngauge-error = normal(0 L, "
    "0.5 L)\n[fuel]\ncontent = normal(80 %, 2 %)\nprice = 1.5 /L\n[limits]\nminimum = 65 %\n";

std::vector<PolicyPlace> shop(const std::vector<Overrides>& places, double changes = 20.0) {
  std::vector<PolicyPlace> all;
  for (std::size_t i = 0; i < places.size(); ++i) {
    all.push_back({i / 2, i % 2, scenario_of(k_car, places[i]), changes});
  }
  return all;
}

PolicyResult solved(const std::vector<PolicyPlace>& places, std::size_t cars,
                    const PolicyRequest& request = {}, unsigned threads = 1) {
  estimate::Options options;
  options.threads = threads;
  return *solve_policy(places, cars, request, options, {});
}

const std::vector<Overrides> k_two_cars{{},
                                        {{"fuel.content", "normal(82 %, 2 %)"}},
                                        {{"heel.indicated", "4 L"}},
                                        {{"heel.indicated", "4 L"}, {"fuel.price", "1.4 /L"}}};

TEST(PolicyRisks, AreOneTwoFive) {
  const std::vector<double> wanted{0.1,   0.05,  0.02,   0.01,   0.005,
                                   0.002, 0.001, 0.0005, 0.0002, 0.0001};
  EXPECT_TRUE(std::ranges::equal(policy_risks(), wanted));
  EXPECT_EQ(risk_of_two_digits(0), 0.0001);
  EXPECT_EQ(risk_of_two_digits(89), 0.00099);
  EXPECT_EQ(risk_of_two_digits(90), 0.001);
  EXPECT_EQ(risk_of_two_digits(k_last_risk), 0.1);
}

TEST(Policy, AmountsAreThoseOfFill) {
  const auto places = shop(k_two_cars);
  const PolicyResult result = solved(places, 2);
  ASSERT_EQ(result.years.size(), policy_risks().size());
  for (const std::size_t k : {std::size_t{3}, std::size_t{9}}) {
    const PolicyYear& year = result.years[k];
    double extra = 0.0;
    double cost = 0.0;
    for (std::size_t i = 0; i < places.size(); ++i) {
      scenario::Scenario scenario = places[i].scenario;
      scenario.limits.accepted_risk = year.risk;
      const FillResult fill = solve_fill(scenario, {}, 0.01, 0.1);
      // As in a table, solved a hair more coarsely.
      EXPECT_NEAR(*year.places[i].amount_l, *fill.safe_amount_l, 0.03);
      EXPECT_NEAR(*year.places[i].margin_l, *fill.margin_l, 0.03);
      EXPECT_LE(year.places[i].chance.chance, 1.01 * year.risk);
      extra += 20.0 * *year.places[i].margin_l;
      cost += 20.0 * *year.places[i].margin_l * (i == 3 ? 1.4 : 1.5);
    }
    EXPECT_NEAR(year.extra_l, extra, 1e-9);
    EXPECT_NEAR(*year.extra_cost, cost, 1e-9);
    EXPECT_NEAR(year.changes, 80.0, 1e-12);
    EXPECT_EQ(year.unserved_places, 0U);
  }
}

TEST(Policy, StricterMissesLessAndCostsMore) {
  const PolicyResult result = solved(shop(k_two_cars), 2);
  for (std::size_t k = 1; k < result.years.size(); ++k) {
    const PolicyYear& looser = result.years[k - 1];
    const PolicyYear& stricter = result.years[k];
    EXPECT_LT(stricter.year.any.value, looser.year.any.value);
    EXPECT_LT(stricter.year.misses.value, looser.year.misses.value);
    EXPECT_GT(stricter.extra_l, looser.extra_l);
    EXPECT_LT(stricter.year.any.value, stricter.year.independent.value);
    EXPECT_GT(stricter.year.any.value, stricter.year.once.value);
  }
}

TEST(Policy, TheYearsRiskIsKeptByTheLoosestRiskOfTwoDigits) {
  PolicyRequest request;
  request.year_risk = 0.05;
  const auto places = shop(k_two_cars);
  const PolicyResult result = solved(places, 2, request);
  ASSERT_TRUE(result.within);
  EXPECT_LE(result.within->year.any.value, 0.05);
  // Within the error of both and a step of the second digit.
  EXPECT_GT(result.within->year.any.value, 0.05 * 0.88);
  EXPECT_NEAR(result.within->risk * 1e5, std::round(result.within->risk * 1e5), 1e-9);
}

TEST(Policy, AYearsRiskThatNothingKeepsIsRefused) {
  PolicyRequest request;
  request.year_risk = 1e-4;
  const PolicyResult result = solved(shop(k_two_cars, 1000.0), 2, request);
  EXPECT_FALSE(result.within);
  EXPECT_EQ(result.why_not_within, NoPolicy::strictest_misses_more);
}

TEST(Policy, AGenerousYearTakesTheLoosest) {
  PolicyRequest request;
  request.year_risk = 0.9999;
  EXPECT_EQ(solved(shop({{}}, 1.0), 1, request).within->risk, 0.1);
}

// A pump of 72 % does at 10 %, not at 0.01 %: its changes are left out there, and counted.
TEST(Policy, PlacesThatNoAmountServesAreCountedApart) {
  const auto places = shop({{}, {{"fuel.content", "normal(72 %, 2 %)"}}});
  const PolicyResult result = solved(places, 1);
  EXPECT_EQ(result.years.front().unserved_places, 0U);
  const PolicyYear& strict = result.years.back();
  EXPECT_FALSE(strict.places[1].amount_l);
  EXPECT_EQ(strict.unserved_places, 1U);
  EXPECT_NEAR(strict.unserved_changes, 20.0, 1e-12);
  EXPECT_NEAR(strict.changes, 20.0, 1e-12);
  EXPECT_NEAR(strict.extra_l, 20.0 * *strict.places[0].margin_l, 1e-9);
}

// Where a place has no amount, what is compared goes on with its last.
TEST(Policy, ComparesTheSameChangesAtEveryRisk) {
  PolicyRequest request;
  request.cost_of_miss = 900.0;
  const auto places = shop({{}, {{"fuel.content", "normal(72 %, 2 %)"}}});
  const PolicyResult result = solved(places, 1, request);
  EXPECT_NEAR(result.costs->changes, 40.0, 1e-12);
  double last = 0.0;
  for (std::size_t k = 0; k < result.years.size(); ++k) {
    const auto& both = result.years[k].places;
    if (both[1].amount_l) last = *both[1].margin_l;
    EXPECT_NEAR(result.same_changes_l[k], 20.0 * (*both[0].margin_l + last), 1e-9);
    EXPECT_NEAR(result.costs->fuel[k], 1.5 * result.same_changes_l[k], 1e-9);
  }
}

// A shop none of whose pumps does has a policy that says so.
TEST(Policy, NothingServedHasNoCosts) {
  PolicyRequest request;
  request.cost_of_miss = 900.0;
  request.year_risk = 0.1;
  const PolicyResult result = solved(shop({{{"fuel.content", "60 %"}}}), 1, request);
  EXPECT_FALSE(result.within);
  EXPECT_EQ(result.why_not_within, NoPolicy::nothing_served);
  EXPECT_EQ(result.why_no_costs, NoPolicy::nothing_served);
  EXPECT_EQ(result.years.front().unserved_places, 1U);
  EXPECT_EQ(result.years.front().year.any.value, 0.0);
}

// One stock for an uncertain need, a fixed penalty where it falls short (K. J. Arrow, T. Harris, J.
// Marschak, Econometrica 19, 1951; from memory). The need of a car with an uncertain heel is D =
// (6 L + e) 0.55 / (0.8 − 0.65), normal(22 L, s) with s = 0.5 · 11/3 L: the cost price · D + C
// P(need > D) is least where C φ(z)/s = price, so that z = √(2 ln(C/(price s √(2π)))).
TEST(Policy, CostsLeastAtTheCriticalRatio) {
  const double s = 0.5 * 0.55 / 0.15;
  for (const double cost : {60.0, 300.0, 1500.0}) {
    const double z =
        std::sqrt(2.0 * std::log(cost / (1.5 * s * std::sqrt(2.0 * std::numbers::pi))));
    PolicyRequest request;
    request.cost_of_miss = cost;
    const PolicyResult result = solved(shop({{{"fuel.content", "80 %"}}}), 1, request);
    ASSERT_TRUE(result.costs);
    const double wanted = numeric::normal_cdf(-z);
    // A step of the second digit, and what a flat least leaves.
    EXPECT_NEAR(result.costs->least.risk / wanted, 1.0, 0.08) << cost;
    EXPECT_LT(result.costs->half.risk / result.costs->least.risk, 3.0);
    EXPECT_GT(result.costs->half.risk, result.costs->least.risk);
    EXPECT_LT(result.costs->twice.risk, result.costs->least.risk);
    EXPECT_LE(result.costs->least.low, result.costs->least.risk);
    EXPECT_GE(result.costs->least.high, result.costs->least.risk);
    EXPECT_FALSE(result.costs->least.at_end);
    EXPECT_EQ(result.cheapest->risk, result.costs->least.risk);
  }
}

// fuel 10 + 4 ln(1/r), misses 100 r, a miss 4: 4/r = 400, r = 1 %; a total of 10 + 4 (ln 100 + 1).
TEST(LeastCost, IsWhereOneMoreLitreSavesItsPrice) {
  std::vector<double> fuel, misses;
  for (const double risk : policy_risks()) {
    fuel.push_back(10.0 - 4.0 * std::log(risk));
    misses.push_back(100.0 * risk);
  }
  const LeastCost least = least_cost(policy_risks(), fuel, misses, 4.0);
  EXPECT_NEAR(least.risk, 0.01, 1e-12);
  const auto total = [](double r) { return 10.0 - 4.0 * std::log(r) + 400.0 * r; };
  EXPECT_LE(total(least.low), 1.0501 * total(0.01));
  EXPECT_GT(total(least.low * 0.94), 1.05 * total(0.01));
  EXPECT_LE(total(least.high), 1.0501 * total(0.01));
  EXPECT_GT(total(least.high * 1.06), 1.05 * total(0.01));
  EXPECT_NEAR(least_cost(policy_risks(), fuel, misses, 8.0).risk, 0.005, 1e-12);
  EXPECT_NEAR(least_cost(policy_risks(), fuel, misses, 2.0).risk, 0.02, 1e-12);
  EXPECT_TRUE(least_cost(policy_risks(), fuel, misses, 1e6).at_end);
}

TEST(Policy, IsTheSameOnAnyNumberOfThreads) {
  PolicyRequest request;
  request.year_risk = 0.2;
  request.cost_of_miss = 500.0;
  const auto places = shop(k_two_cars);
  const PolicyResult one = solved(places, 2, request, 1);
  const PolicyResult three = solved(places, 2, request, 3);
  EXPECT_EQ(one.evaluations, three.evaluations);
  EXPECT_EQ(one.within->risk, three.within->risk);
  EXPECT_EQ(one.within->year.any.value, three.within->year.any.value);
  EXPECT_EQ(one.costs->misses, three.costs->misses);
  for (std::size_t k = 0; k < one.years.size(); ++k) {
    EXPECT_EQ(one.years[k].year.any.value, three.years[k].year.any.value);
    EXPECT_EQ(one.years[k].year.any.standard_error, three.years[k].year.any.standard_error);
    EXPECT_EQ(one.years[k].extra_l, three.years[k].extra_l);
  }
}

TEST(Policy, GivesUpWhereProgressSaysSo) {
  int calls = 0;
  const auto places = shop({{}});
  const auto none = solve_policy(places, 1, {}, {}, [&](std::size_t done, std::size_t all) {
    EXPECT_LE(done, all);
    return ++calls < 2;
  });
  EXPECT_FALSE(none);
}

}  // namespace
}  // namespace blendrisk::decide::policy_test
