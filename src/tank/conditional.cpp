#include "tank/conditional.hpp"

#include <algorithm>
#include <utility>

#include "estimate/measured.hpp"
#include "scenario/told.hpp"
#include "scenario/way.hpp"
#include "tank/crude_monte_carlo.hpp"
#include "tank/known.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseInputs;
using sampling::Purpose;

/// A bound of a chance of running dry that needs no estimate, in parts of the dry risk.
constexpr double k_far_below_dry = 0.1;
/// For the chances beside the verdict, which may stop short of the precision.
constexpr std::uint64_t k_side_budget = std::uint64_t{1} << 20U;
constexpr std::uint64_t k_search_budget = std::uint64_t{1} << 14U;

/// A last fill that is still to be done, and metered.
bool may_click_off(const scenario::Fill& last) {
  return last.amount_l && !last.shown_l;
}

/// Puts the chances of an answer together, one after the other, on one workspace.
class Conditional {
 public:
  Conditional(const CaseInputs& inputs, const Condition& condition,
              const estimate::Options& options, const estimate::Progress& progress,
              FittedSides* fitted = nullptr)
      : inputs_(inputs),
        condition_(condition),
        options_(options),
        progress_(progress),
        fitted_(fitted),
        known_(chance_of_known(inputs, options)),
        workspace_(inputs) {}

  estimate::ChanceResult run_outside() {
    outside(true);
    return std::move(result_);
  }

  estimate::Result run_dry_alone() {
    run_dry(k_search_budget);
    return {result_.run_dry, result_.effort};
  }

  estimate::ChanceResult run_chances() {
    chances();
    return std::move(result_);
  }

  estimate::ChanceResult run_sides() {
    outside(false);
    return std::move(result_);
  }

  /// @param on_the_way_too  running dry and clicking off early, too
  estimate::ChanceResult run(bool on_the_way_too) {
    on_the_way_too ? chances() : outside(false);
    const estimate::Found<estimate::Landed> landed =
        estimate_landed(inputs_, condition_.content, options_.seed);
    result_.landed = landed.value;
    result_.effort.evaluations += landed.effort.evaluations;
    const bool exact = result_.effort.stop == estimate::Stop::exact;
    result_.effort.methods = {.exact = exact, .conditional = !exact};
    if (scenario::any_shown(inputs_.scenario()))
      result_.learned = learned(inputs_, condition_.content, options_.seed);
    if (condition_.slot()) result_.conditioned_on = inputs_.key(*condition_.slot());
    return std::move(result_);
  }

 private:
  void chances() {
    outside(false);
    run_dry(k_side_budget);
    if (may_click_off(inputs_.scenario().fills.back())) {
      const ClicksOffEarly integrand(inputs_);
      result_.clicked_off_early = mean({{inputs_, integrand.slots()},
                                        &integrand,
                                        options_.seed,
                                        Purpose::click_off,
                                        k_side_budget,
                                        inputs_.scenario().limits.accepted_risk,
                                        known_})
                                      .estimate;
    }
  }

  estimate::MeanResult mean(const estimate::Problem& problem) {
    estimate::MeanResult result = estimate::estimate_mean(problem, options_, workspace_, progress_);
    result_.effort.evaluations += result.effort.evaluations;
    return result;
  }

  /// Roughly, the likeliest first: what the error of a lesser side adds to that of the sum may be
  /// nothing.
  std::vector<estimate::Limit> likeliest_first() {
    std::vector<estimate::Limit> limits = estimate::limits_of(inputs_.scenario().limits);
    if (limits.size() < 2) return limits;
    std::vector<double> chances;
    for (const estimate::Limit& limit : limits) {
      const auto integrand = outside_limit(inputs_, condition_, limit);
      chances.push_back(estimate::rough_chance(
          outside_problem(inputs_, condition_, limit, *integrand, options_.seed), workspace_,
          result_.effort.evaluations));
    }
    if (chances[1] > chances[0]) std::swap(limits[0], limits[1]);
    return limits;
  }

  /// @param alone  the sides are not told
  void outside(bool alone) {
    estimate::MeanOfReplicates sum;
    // What sides without any spread may be off by: no point landed there, or every one did.
    double below = 0.0;
    double above = 0.0;
    estimate::Options options = options_;
    for (const estimate::Limit& limit :
         alone && !known_ ? likeliest_first() : estimate::limits_of(inputs_.scenario().limits)) {
      if (alone && !known_) options.small_error = 0.25 * options.precision * sum.mean;
      const estimate::MeanResult one =
          side_of(inputs_, condition_, known_, limit, options, workspace_, progress_, fitted_);
      result_.effort += one.effort;
      if (one.less_sure) result_.less_sure.push_back({limit.side, one.effort.tilted});
      sum = estimate::welch_satterthwaite(sum, one.mean);
      if (!(one.mean.variance > 0.0)) {
        below += one.mean.mean - one.estimate.interval[0];
        above += one.estimate.interval[1] - one.mean.mean;
      }
      (limit.below() ? result_.below_minimum : result_.above_maximum) = one.estimate;
    }
    result_.outside = estimate::student_estimate(sum);
    auto& [low, high] = result_.outside.interval;
    low = std::max(0.0, low - below);
    high = std::min(1.0, high + above);
    result_.outside.upper_bound_only |= !(sum.mean > 0.0) && high > 0.0;
  }

  void run_dry(std::uint64_t budget) {
    const scenario::Scenario& scenario = inputs_.scenario();
    const bool on_the_way = scenario::is_on_the_way(scenario);
    const double by_gauge = on_the_way ? 0.0 : chance_dry_by_gauge(scenario);
    result_.run_dry = estimate::exact_estimate(by_gauge);
    if (!(scenario.tank.pickup_floor_l > 0.0)) return;
    const bool driven = on_the_way || last_driven(scenario).has_value();
    if (!known_ && (!driven || by_gauge >= 1.0)) return;
    if (known_ && !driven) {
      // Both together are no likelier than one: mostly that is enough, and no point shows it.
      const double most = by_gauge / known_->chance.mean;
      if (most <= k_far_below_dry * scenario.limits.dry_risk) {
        result_.run_dry = {0.0, 0.0, {0.0, most}, most > 0.0};
        return;
      }
    }
    const auto estimate = [&](const CaseInputs& inputs, bool at_first_too) {
      const RunsDryLater integrand(inputs, at_first_too);
      estimate::Workspace workspace(inputs);
      const estimate::MeanResult dry = estimate::estimate_mean({{inputs, integrand.slots()},
                                                                &integrand,
                                                                options_.seed,
                                                                Purpose::run_dry,
                                                                budget,
                                                                scenario.limits.dry_risk,
                                                                known_},
                                                               options_, workspace, progress_);
      result_.effort.evaluations += dry.effort.evaluations;
      return dry;
    };
    // What the gauge tells of the first fill then tells of the rest.
    if (known_ || on_the_way || dry_is_correlated(inputs_)) {
      result_.run_dry = estimate(inputs_, true).estimate;
      return;
    }
    const scenario::Scenario rest = not_dry_by_gauge(scenario);
    const estimate::MeanResult later = estimate(CaseInputs(rest), false);
    const double share = 1.0 - by_gauge;
    result_.run_dry.chance += share * later.estimate.chance;
    result_.run_dry.standard_error = share * later.estimate.standard_error;
    for (std::size_t end = 0; end < 2; ++end) {
      result_.run_dry.interval[end] += share * later.estimate.interval[end];
    }
    result_.run_dry.upper_bound_only = by_gauge == 0.0 && later.estimate.upper_bound_only;
  }

  const CaseInputs& inputs_;
  Condition condition_;
  const estimate::Options& options_;
  const estimate::Progress& progress_;
  FittedSides* fitted_;
  std::optional<estimate::Known> known_;
  estimate::Workspace workspace_;
  estimate::ChanceResult result_;
};

/// Where nothing is left in the tank at an end, the old fuel counts.
estimate::ChanceResult at_end(const scenario::Scenario& scenario, estimate::Options few,
                              estimate::ChanceResult (Conditional::*run)()) {
  const CaseInputs ends(scenario);
  if (!methods_of_outside(ends, few).crude) {
    return (Conditional(ends, condition_of(ends), few, {}).*run)();
  }
  few.cases = estimate::k_counted_at_ends;
  return crude_chance(ends, few, {});
}

/// The chances of landing outside that are there.
std::vector<estimate::Estimate*> sides_in(estimate::ChanceResult& result) {
  std::vector<estimate::Estimate*> all{&result.outside};
  for (auto* one : {&result.below_minimum, &result.above_maximum}) {
    if (*one) all.push_back(&**one);
  }
  return all;
}

/// Every chance of the answer that is there.
std::vector<estimate::Estimate*> chances_of(estimate::ChanceResult& result) {
  std::vector<estimate::Estimate*> all = sides_in(result);
  all.push_back(&result.run_dry);
  if (result.clicked_off_early) all.push_back(&*result.clicked_off_early);
  return all;
}

/// Lifts what `of` names of the answer to what measured values bear, by `run` at their ends.
template <class Of>
double lift_by(const CaseInputs& inputs, const estimate::Options& options,
               estimate::ChanceResult& told, const Of& of,
               estimate::ChanceResult (Conditional::*run)()) {
  const auto at = [run](const scenario::Scenario& there, const estimate::Options& few) {
    return at_end(there, few, run);
  };
  return estimate::lift(inputs, told, of, options, at);
}

}  // namespace

estimate::MeanResult side_of(const CaseInputs& inputs, const Condition& condition,
                             const std::optional<estimate::Known>& known,
                             const estimate::Limit& limit, const estimate::Options& options,
                             estimate::Workspace& workspace, const estimate::Progress& progress,
                             FittedSides* fitted) {
  const auto integrand = outside_limit(inputs, condition, limit);
  estimate::Problem problem = outside_problem(inputs, condition, limit, *integrand, options.seed);
  problem.known = known;
  if (!fitted) return estimate::estimate_mean(problem, options, workspace, progress);
  problem.nearby = fitted->nearby(limit.side);
  return estimate::estimate_mean(problem, options, workspace, progress, &fitted->of(limit.side));
}

estimate::ChanceResult unlifted_chance(const CaseInputs& inputs, const estimate::Options& options,
                                       const estimate::Progress& progress, FittedSides* fitted) {
  return Conditional(inputs, condition_of(inputs), options, progress, fitted).run(true);
}

estimate::ChanceResult unlifted_landing(const CaseInputs& inputs, const estimate::Options& options,
                                        FittedSides* fitted) {
  return Conditional(inputs, condition_of(inputs), options, {}, fitted).run(false);
}

double lift_landing(const CaseInputs& inputs, const estimate::Options& options,
                    estimate::ChanceResult& told) {
  return lift_by(inputs, options, told, sides_in, &Conditional::run_sides);
}

double lift_chances(const CaseInputs& inputs, const estimate::Options& options,
                    estimate::ChanceResult& told) {
  return lift_by(inputs, options, told, chances_of, &Conditional::run_chances);
}

estimate::ChanceResult unlifted_outside(const CaseInputs& inputs, const estimate::Options& options,
                                        FittedSides* fitted) {
  return Conditional(inputs, condition_of(inputs), options, {}, fitted).run_outside();
}

double lift_outside(const CaseInputs& inputs, const estimate::Options& options,
                    estimate::ChanceResult& told) {
  const auto outside = [](estimate::ChanceResult& one) { return std::vector{&one.outside}; };
  return lift_by(inputs, options, told, outside, &Conditional::run_outside);
}

estimate::Result unlifted_dry(const CaseInputs& inputs, const estimate::Options& options) {
  return Conditional(inputs, condition_of(inputs), options, {}).run_dry_alone();
}

void lift_dry(const CaseInputs& inputs, const estimate::Options& options, estimate::Result& told) {
  const auto at = [](const scenario::Scenario& there, const estimate::Options& few) {
    return unlifted_dry(CaseInputs(there), few);
  };
  estimate::lift(inputs, told, estimate::chance_of, options, at);
}

}  // namespace blendrisk::tank
