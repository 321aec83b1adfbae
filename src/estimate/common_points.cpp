#include "estimate/common_points.hpp"

#include <algorithm>
#include <utility>

#include "estimate/lean_fit.hpp"

namespace blendrisk::estimate {
namespace {

constexpr std::uint64_t kRound = 1U << 20U;  // no round of an estimate has this number

}  // namespace

CommonPoints::CommonPoints(scenario::Scenario scenario, std::uint64_t seed, unsigned log2_points)
    : scenario_(std::move(scenario)), inputs_(scenario_), workspace_(inputs_) {
  size_.log2_points = log2_points;
  const Condition condition = condition_of(inputs_);
  const auto add = [&](Side side, double limit) {
    auto integrand = outside_limit(inputs_, condition, side, limit);
    Problem problem = outside_problem(inputs_, condition, side, *integrand, seed);
    Mixture mixture = mixture_for(problem);
    sides_.push_back({side, std::move(integrand), std::move(problem), std::move(mixture)});
  };
  if (scenario_.limits.minimum) add(Side::below, *scenario_.limits.minimum);
  if (scenario_.limits.maximum) add(Side::above, *scenario_.limits.maximum);
}

void CommonPoints::fit() {
  for (OneSide& side : sides_) {
    if (side.problem.drawer.empty()) continue;
    Fit fitted = fit_lean(side.problem, workspace_);
    side.mixture.strengths = std::move(fitted.strengths);
    evaluations_ += fitted.evaluations;
  }
}

std::array<double, 2> CommonPoints::sides() {
  std::array<double, 2> chances{};
  for (const OneSide& side : sides_) {
    double chance = 0.0;
    if (side.problem.drawer.empty()) {
      side.integrand->evaluate(workspace_.batch, workspace_.columns, {&chance, 1}, {});
      ++evaluations_;
    } else {
      const Round round = run_round(side.problem, side.mixture, size_, kRound, 1, workspace_, {});
      evaluations_ += round.evaluations;
      chance = mean_of(round.means).mean;
    }
    chances[side.side == Side::below ? 0 : 1] = chance;
  }
  return chances;
}

double CommonPoints::outside() {
  const auto [below, above] = sides();
  return std::clamp(below + above, 0.0, 1.0);
}

}  // namespace blendrisk::estimate
