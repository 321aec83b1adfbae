#include "tank/chance.hpp"

#include <algorithm>
#include <utility>

#include "estimate/measured.hpp"
#include "estimate/sample_size.hpp"
#include "tank/condition.hpp"
#include "tank/crude_monte_carlo.hpp"
#include "tank/known.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseInputs;
using sampling::Purpose;

constexpr double k_worth_saying = 0.001;  // share of held draws
/// A bound of a chance of running dry that needs no estimate, in parts of the dry risk.
constexpr double k_far_below_dry = 0.1;
/// For the chances beside the verdict, which may stop short of the precision.
constexpr std::uint64_t k_side_budget = std::uint64_t{1} << 20U;
constexpr std::uint64_t k_search_budget = std::uint64_t{1} << 14U;

estimate::MeanResult side_of(const CaseInputs& inputs, const Condition& condition,
                             const std::optional<estimate::Known>& known,
                             const estimate::Limit& limit, const estimate::Options& options,
                             estimate::Workspace& workspace, const estimate::Progress& progress) {
  const auto integrand = outside_limit(inputs, condition, limit);
  estimate::Problem problem = outside_problem(inputs, condition, limit, *integrand, options.seed);
  problem.known = known;
  return estimate::estimate_mean(problem, options, workspace, progress);
}

/// A last fill that is still to be done, and metered.
bool may_click_off(const scenario::Fill& last) {
  return last.amount_l && !last.shown_l;
}

/// Puts the chances of an answer together, one after the other, on one workspace.
class Conditional {
 public:
  Conditional(const CaseInputs& inputs, const Condition& condition,
              const estimate::Options& options, const estimate::Progress& progress)
      : inputs_(inputs),
        condition_(condition),
        options_(options),
        progress_(progress),
        known_(chance_of_known(inputs, options)),
        workspace_(inputs) {}

  estimate::ChanceResult run_outside() {
    outside();
    return std::move(result_);
  }

  /// For a search: with fewer points.
  estimate::Result run_dry_alone() {
    run_dry(k_search_budget);
    return {result_.run_dry, result_.effort};
  }

  /// The chances alone, without the landed content.
  estimate::ChanceResult run_chances() {
    chances();
    return std::move(result_);
  }

  estimate::ChanceResult run() {
    chances();
    const estimate::Found<estimate::Landed> landed =
        estimate_landed(inputs_, condition_.content, options_.seed);
    result_.landed = landed.value;
    result_.effort.evaluations += landed.effort.evaluations;
    const bool exact = result_.effort.stop == estimate::Stop::exact;
    result_.effort.methods = {.exact = exact, .conditional = !exact};
    if (known_) result_.learned = learned(inputs_, condition_.content, options_.seed);
    if (condition_.slot()) result_.conditioned_on = inputs_.key(*condition_.slot());
    return std::move(result_);
  }

 private:
  void chances() {
    outside();
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

  void outside() {
    estimate::MeanOfReplicates sum;
    // What sides without any spread may be off by: no point landed there, or every one did.
    double below = 0.0;
    double above = 0.0;
    for (const estimate::Limit& limit : estimate::limits_of(inputs_.scenario().limits)) {
      const estimate::MeanResult one =
          side_of(inputs_, condition_, known_, limit, options_, workspace_, progress_);
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
    const double by_gauge = chance_dry_by_gauge(scenario);
    result_.run_dry = estimate::exact_estimate(by_gauge);
    if (!(scenario.tank.pickup_floor_l > 0.0)) return;
    if (!known_ && (!last_driven(scenario) || by_gauge >= 1.0)) return;
    if (known_ && !last_driven(scenario)) {
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
    if (known_ || dry_is_correlated(inputs_)) {
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
  std::optional<estimate::Known> known_;
  estimate::Workspace workspace_;
  estimate::ChanceResult result_;
};

void judge(const scenario::Limits& limits, estimate::ChanceResult& result) {
  const double risk = limits.accepted_risk;
  const auto value = [](const estimate::Estimate& e) {
    return e.upper_bound_only ? e.interval[1] : e.chance;
  };
  result.met = value(result.outside) <= risk;
  result.dry_met = value(result.run_dry) <= limits.dry_risk;
  const auto& interval = result.outside.interval;
  result.clearly = result.met ? interval[1] <= risk : interval[0] > risk;
}

void list_clamped(const CaseInputs& inputs, estimate::ChanceResult& result) {
  for (std::size_t slot = 0; slot < inputs.size(); ++slot) {
    const double share = inputs.clamped_share(slot);
    if (share > k_worth_saying) result.held.push_back({inputs.key(slot), share});
  }
}

estimate::ChanceResult answer(const CaseInputs& inputs, const estimate::Options& options,
                              const estimate::Progress& progress) {
  if (options.method == estimate::Method::crude) return crude_chance(inputs, options, progress);
  return methods_of_outside(inputs, options).crude
             ? crude_chance(inputs, options, progress, k_most_counted)
             : Conditional(inputs, condition_of(inputs), options, progress).run();
}

/// compute(options); where measured inputs may lift what it tells, roughly first: a chance that is
/// lifted, as is_lifted(result) says, needs no precision of its own.
template <class Compute, class IsLifted>
auto roughly_first(const CaseInputs& inputs, const estimate::Options& options,
                   const Compute& compute, const IsLifted& is_lifted) {
  if (!options.cases && !estimate::measured_inputs(inputs).empty()) {
    estimate::Options rough = options;
    rough.cases = std::uint64_t{1} << 14U;
    const auto result = compute(rough);
    if (is_lifted(result)) return result;
  }
  return compute(options);
}

bool is_lifted(const estimate::Result& result) {
  return result.estimate.few_values;
}

/// Every chance of the answer that is there.
std::vector<estimate::Estimate*> chances_of(estimate::ChanceResult& result) {
  std::vector<estimate::Estimate*> all{&result.outside, &result.run_dry};
  for (auto* one : {&result.below_minimum, &result.above_maximum, &result.clicked_off_early}) {
    if (*one) all.push_back(&**one);
  }
  return all;
}

/// Where nothing is left in the tank at an end, the old fuel counts.
estimate::ChanceResult at_end(const scenario::Scenario& scenario, const estimate::Options& options,
                              estimate::ChanceResult (Conditional::*run)()) {
  const CaseInputs ends(scenario);
  estimate::Options few = estimate::at_ends(options);
  if (!methods_of_outside(ends, few).crude) {
    return (Conditional(ends, condition_of(ends), few, {}).*run)();
  }
  few.cases = estimate::k_counted_at_ends;
  return crude_chance(ends, few, {});
}

bool all_lifted(const estimate::ChanceResult& result) {
  const auto lifted = [](const std::optional<estimate::Estimate>& one) {
    return !one || one->few_values;
  };
  return lifted(result.outside) && lifted(result.below_minimum) && lifted(result.above_maximum);
}

}  // namespace

estimate::ChanceResult estimate_chance(const scenario::Scenario& scenario,
                                       const estimate::Options& options,
                                       const estimate::Progress& progress) {
  const CaseInputs inputs(scenario);
  require_fuel(inputs);
  const auto borne = [&](const estimate::Options& how) {
    estimate::ChanceResult result = answer(inputs, how, progress);
    estimate::lift(inputs, result, chances_of, [&](const scenario::Scenario& there) {
      return at_end(there, options, &Conditional::run_chances);
    });
    return result;
  };
  estimate::ChanceResult result = roughly_first(inputs, options, borne, all_lifted);
  judge(scenario.limits, result);
  list_clamped(inputs, result);
  return result;
}

namespace {

estimate::Result outside_alone(const CaseInputs& inputs, const estimate::Options& options,
                               std::uint64_t most_counted) {
  const estimate::Methods methods = methods_of_outside(inputs, options);
  estimate::ChanceResult result =
      methods.crude ? crude_chance(inputs, options, {}, most_counted)
                    : Conditional(inputs, condition_of(inputs), options, {}).run_outside();
  const auto outside = [](estimate::ChanceResult& one) { return std::vector{&one.outside}; };
  estimate::lift(inputs, result, outside, [&](const scenario::Scenario& scenario) {
    return at_end(scenario, options, &Conditional::run_outside);
  });
  result.effort.methods = methods;
  return {result.outside, result.effort};
}

}  // namespace

estimate::Result estimate_outside(const scenario::Scenario& scenario,
                                  const estimate::Options& options, std::uint64_t most_counted) {
  return estimate_outside(CaseInputs(scenario), options, most_counted);
}

estimate::Result estimate_outside(const CaseInputs& inputs, const estimate::Options& options,
                                  std::uint64_t most_counted) {
  require_fuel(inputs);
  const auto outside = [&](const estimate::Options& how) {
    return outside_alone(inputs, how, most_counted);
  };
  return roughly_first(inputs, options, outside, is_lifted);
}

estimate::Estimate estimate_run_dry(const scenario::Scenario& scenario,
                                    const estimate::Options& options) {
  return estimate_run_dry(CaseInputs(scenario), options);
}

estimate::Estimate estimate_run_dry(const CaseInputs& inputs, const estimate::Options& options) {
  estimate::Result told = Conditional(inputs, condition_of(inputs), options, {}).run_dry_alone();
  estimate::lift(inputs, told, estimate::chance_of, [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    const estimate::Options few = estimate::at_ends(options);
    return Conditional(ends, condition_of(ends), few, {}).run_dry_alone();
  });
  return told.estimate;
}

namespace {

estimate::Result side_alone(const CaseInputs& inputs, const estimate::Limit& limit,
                            const estimate::Options& options, const estimate::Progress& progress) {
  const auto side = [&](const CaseInputs& of, const estimate::Options& how,
                        const estimate::Progress& tell) {
    estimate::Workspace workspace(of);
    const estimate::MeanResult one =
        side_of(of, condition_of(of), chance_of_known(of, how), limit, how, workspace, tell);
    return estimate::Result{one.estimate, one.effort};
  };
  estimate::Result result = side(inputs, options, progress);
  estimate::lift(inputs, result, estimate::chance_of, [&](const scenario::Scenario& at_end) {
    return side(CaseInputs(at_end), estimate::at_ends(options), {});
  });
  return result;
}

}  // namespace

estimate::Result estimate_side(const scenario::Scenario& scenario, const estimate::Limit& limit,
                               const estimate::Options& options,
                               const estimate::Progress& progress) {
  const CaseInputs inputs(scenario);
  require_fuel(inputs);
  const auto side = [&](const estimate::Options& how) {
    return side_alone(inputs, limit, how, progress);
  };
  return roughly_first(inputs, options, side, is_lifted);
}

}  // namespace blendrisk::tank
