#include "estimate/fits_nearby.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "estimate/cross_entropy.hpp"
#include "sampling/question.hpp"
#include "scenario/known.hpp"
#include "tank/chance.hpp"
#include "tank/condition.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::estimate::fits_nearby_test {
namespace {

/// The chance of landing below 60 %, with heavy tails in four inputs.
scenario::Scenario heavy(const std::string& content = "student(75 %, 2 %, 3)") {
  return testing::scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 8 L\n"
      "gauge-error = student(0 L, 0.4 L, 3)\n"
      "content = student(12 %, 1 %, 3)\n[fuel]\ncontent = " +
      content +
      "\nhose-volume = triangular(0.3 L, 0.6 L, 1 L)\n"
      "hose-content = student(10 %, 1 %, 3)\n[fill]\namount = 41 L\n"
      "[limits]\nminimum = 60 %\naccepted-risk = 1 %\n");
}

/// Its problem at numbers that may vary.
struct Below {
  explicit Below(const scenario::Scenario& scenario)
      : question(scenario),
        condition(tank::condition_of(question.inputs())),
        integrand(tank::outside_limit(question.inputs(), condition, limit)),
        problem(tank::outside_problem(question.inputs(), condition, limit, *integrand, 3)),
        workspace(question.inputs()) {}

  Round round(const Mixture& mixture) {
    return run_round(problem, mixture, k_size, 5, 1, workspace, {});
  }

  static constexpr Size k_size{16, 6};
  Limit limit{Side::below, 0.6};
  sampling::Question question;
  tank::Condition condition;
  std::unique_ptr<Integrand> integrand;
  Problem problem;
  Workspace workspace;
};

Mixture fitted(Below& below) {
  return fit_importance(below.problem, below.workspace).mixture;
}

// A look at points that were drawn at one amount tells of another what its own would.
TEST(DrawnRound, TellsWhatARoundTells) {
  Below below(heavy());
  const Mixture mixture = fitted(below);
  ASSERT_FALSE(mixture.parts.empty());
  Mixture tilt;
  tilt.strengths.assign(below.problem.size(), -0.3);
  for (const Mixture& one : {Mixture{}, tilt, mixture}) {
    const DrawnRound drawn(below.problem, one, Below::k_size, 5, below.workspace);
    std::vector<double> at_first;
    for (const double amount_l : {41.0, 43.5}) {
      below.question.numbers().fills.back().amount_l = amount_l;
      const Round look = drawn.look(below.problem, below.workspace);
      const Round round = below.round(one);
      EXPECT_EQ(look.means, round.means) << amount_l;
      EXPECT_EQ(look.effective_share, round.effective_share);
      EXPECT_EQ(look.evaluations, round.evaluations);
      if (at_first.empty()) at_first = look.means;
      EXPECT_EQ(look.means == at_first, amount_l == 41.0);
    }
  }
}

// Points of all inputs, weighed for all, are cases where one is known: within five standard errors
// (false alarms of one seed: 2e-4 by Student's t of 15 degrees of freedom) of an estimate of its
// own. The twin: what they tell where it is not known is far from that.
TEST(DrawnRound, ServesWhereAnInputIsKnown) {
  Below below(heavy());
  const Mixture mixture = fitted(below);
  const Size many{16, 11};
  const DrawnRound drawn(below.problem, mixture, many, 5, below.workspace);
  const scenario::Scenario at_mean = scenario::known_at(heavy(), "heel.gauge-error", 0.0);
  Below known(at_mean);
  ASSERT_EQ(known.problem.size() + 1, below.problem.size());
  ASSERT_TRUE(drawn.serves(known.problem));
  const Estimate told = student_estimate(mean_of(drawn.look(known.problem, known.workspace).means));
  Options options;
  options.threads = 1;
  options.precision = 0.002;
  const Estimate own = tank::estimate_outside(at_mean, options).estimate;
  const double error = std::hypot(told.standard_error, own.standard_error);
  EXPECT_LT(told.standard_error, 0.01 * told.chance);
  EXPECT_NEAR(told.chance, own.chance, 5.0 * error);
  const Estimate unknown =
      student_estimate(mean_of(drawn.look(below.problem, below.workspace).means));
  EXPECT_GT(std::abs(unknown.chance - own.chance), 20.0 * error);
  // What is drawn anew has other inputs than were drawn.
  EXPECT_FALSE(DrawnRound(known.problem, {}, many, 5, known.workspace).serves(below.problem));
}

TEST(FitsNearby, TheFirstOnlyKeepsAndOthersTakeTheNearestThatServes) {
  FitsNearby first;
  Below below(heavy());
  below.problem.nearby = &first;
  const Fit here = fit_importance(below.problem, below.workspace);
  ASSERT_TRUE(here.nearby != nullptr);
  EXPECT_FALSE(here.taken);
  below.question.numbers().fills.back().amount_l = 44.0;
  const Fit there = fit_importance(below.problem, below.workspace);
  EXPECT_FALSE(there.taken);
  EXPECT_NE(there.nearby, here.nearby);

  FitsNearby next(&first);
  Below known(scenario::known_at(heavy(), "heel.gauge-error", 0.0));
  known.problem.nearby = &next;
  for (const auto& [amount_l, nearest] : {std::pair{41.1, here.nearby}, {43.9, there.nearby}}) {
    known.question.numbers().fills.back().amount_l = amount_l;
    const Fit taken = fit_importance(known.problem, known.workspace);
    EXPECT_TRUE(taken.taken) << amount_l;
    EXPECT_EQ(taken.nearby, nearest) << amount_l;
    ASSERT_FALSE(taken.mixture.parts.empty());
    EXPECT_EQ(taken.mixture.parts.front().component.mean.size(), known.problem.size());
  }
}

// Not where the event is elsewhere, or an input was not drawn that is drawn here.
TEST(FitsNearby, WhatDoesNotServeIsFittedAnew) {
  FitsNearby first;
  Below below(heavy());
  below.problem.nearby = &first;
  fit_importance(below.problem, below.workspace);
  FitsNearby next(&first);
  Below often(heavy());
  often.problem.nearby = &next;
  often.question.numbers().fills.back().amount_l = 20.0;  // misses nearly always
  EXPECT_FALSE(fit_importance(often.problem, often.workspace).taken);
  // Conditioned on another content, it draws that of the pump.
  Below other(heavy("student(75 %, 0.01 %, 3)"));
  ASSERT_NE(other.problem.sampler.slots(), below.problem.sampler.slots());
  other.problem.nearby = &next;
  EXPECT_FALSE(fit_importance(other.problem, other.workspace).taken);
}

TEST(FitsNearby, KeepsRoundsByFitSizeAndNumber) {
  FitsNearby first;
  Below below(heavy());
  const auto round = std::make_shared<const DrawnRound>(below.problem, Mixture{}, Below::k_size, 5,
                                                        below.workspace);
  first.keep(round, nullptr);
  const FitsNearby next(&first);
  EXPECT_EQ(next.round(below.problem, nullptr, Below::k_size, 5), round);
  EXPECT_EQ(next.round(below.problem, nullptr, Below::k_size, 6), nullptr);
  EXPECT_EQ(next.round(below.problem, nullptr, Size{16, 7}, 5), nullptr);
  const NearbyFit* other = first.add(below.problem, fitted(below));
  EXPECT_EQ(next.round(below.problem, other, Below::k_size, 5), nullptr);
}

}  // namespace
}  // namespace blendrisk::estimate::fits_nearby_test
