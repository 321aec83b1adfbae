#include "tank/chance.hpp"

#include <algorithm>
#include <utility>

#include "estimate/measured.hpp"
#include "estimate/sample_size.hpp"
#include "tank/condition.hpp"
#include "tank/crude_monte_carlo.hpp"
#include "tank/landed_distribution.hpp"
#include "tank/methods.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseInputs;
using sampling::Purpose;

constexpr double k_worth_saying = 0.001;  // share of held draws
/// For the chances beside the verdict, which may stop short of the precision.
constexpr std::uint64_t k_side_budget = std::uint64_t{1} << 20U;
constexpr std::uint64_t k_search_budget = std::uint64_t{1} << 14U;

estimate::MeanResult side_of(const CaseInputs& inputs, const Condition& condition,
                             estimate::Side side, double limit, const estimate::Options& options,
                             estimate::Workspace& workspace, const estimate::Progress& progress) {
  const auto integrand = outside_limit(inputs, condition, side, limit);
  return estimate::estimate_mean(outside_problem(inputs, condition, side, *integrand, options.seed),
                                 options, workspace, progress);
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
        workspace_(inputs) {}

  estimate::ChanceResult run_outside() {
    result_.stop = estimate::Stop::exact;
    outside();
    return std::move(result_);
  }

  /// For a search: with fewer points.
  estimate::Estimate run_dry_alone() {
    run_dry(k_search_budget);
    return result_.run_dry;
  }

  /// The chances alone, without the landed content.
  estimate::ChanceResult run_chances() {
    chances();
    return std::move(result_);
  }

  estimate::ChanceResult run() {
    chances();
    const LandedResult landed = estimate_landed(inputs_, condition_.content, options_.seed);
    result_.landed = landed.landed;
    result_.evaluations += landed.evaluations;
    result_.method = result_.stop == estimate::Stop::exact ? "exact" : "conditional";
    if (condition_.slot()) result_.conditioned_on = inputs_.key(*condition_.slot());
    return std::move(result_);
  }

 private:
  void chances() {
    result_.stop = estimate::Stop::exact;
    outside();
    run_dry(k_side_budget);
    if (inputs_.scenario().fills.back().amount_l) {
      const ClicksOffEarly integrand(inputs_);
      result_.clicked_off_early = mean({{inputs_, integrand.slots()},
                                        &integrand,
                                        options_.seed,
                                        Purpose::click_off,
                                        k_side_budget})
                                      .estimate;
    }
  }

  estimate::MeanResult mean(const estimate::Problem& problem) {
    estimate::MeanResult result = estimate::estimate_mean(problem, options_, workspace_, progress_);
    result_.evaluations += result.evaluations;
    return result;
  }

  void outside() {
    const scenario::Limits& limits = inputs_.scenario().limits;
    estimate::MeanOfReplicates sum;
    // What sides without any spread may be off by: no point landed there, or every one did.
    double below = 0.0;
    double above = 0.0;
    const auto add = [&](estimate::Side side, double limit) {
      const estimate::MeanResult one =
          side_of(inputs_, condition_, side, limit, options_, workspace_, progress_);
      result_.evaluations += one.evaluations;
      result_.stop = std::max(result_.stop, one.stop);
      result_.tilted |= one.tilted;
      note_quality(one, side);
      sum = estimate::welch_satterthwaite(sum, one.mean);
      if (!(one.mean.variance > 0.0)) {
        below += one.mean.mean - one.estimate.interval[0];
        above += one.estimate.interval[1] - one.mean.mean;
      }
      return one.estimate;
    };
    if (limits.minimum) result_.below_minimum = add(estimate::Side::below, *limits.minimum);
    if (limits.maximum) result_.above_maximum = add(estimate::Side::above, *limits.maximum);
    result_.outside = estimate::student_estimate(sum);
    auto& [low, high] = result_.outside.interval;
    low = std::max(0.0, low - below);
    high = std::min(1.0, high + above);
    result_.outside.upper_bound_only |= !(sum.mean > 0.0) && high > 0.0;
  }

  void note_quality(const estimate::MeanResult& one, estimate::Side side) {
    if (!one.less_sure) return;
    const std::string which =
        side == estimate::Side::below ? "landing below the minimum" : "landing above the maximum";
    result_.notes.push_back(
        one.tilted ? "A few of the points carry most of the chance of " + which +
                         ": its interval is less sure than 95 %."
                   : "No tilt toward " + which +
                         " could be fitted: the interval of its chance is less sure than 95 %.");
  }

  void run_dry(std::uint64_t budget) {
    const scenario::Scenario& scenario = inputs_.scenario();
    const double by_gauge = chance_dry_by_gauge(scenario);
    result_.run_dry = estimate::exact_estimate(by_gauge);
    if (!last_driven(scenario) || !(scenario.tank.pickup_floor_l > 0.0) || by_gauge >= 1.0) return;
    const auto estimate = [&](const CaseInputs& inputs, bool at_first_too) {
      const RunsDryLater integrand(inputs, at_first_too);
      estimate::Workspace workspace(inputs);
      const estimate::MeanResult dry = estimate::estimate_mean(
          {{inputs, integrand.slots()}, &integrand, options_.seed, Purpose::run_dry, budget},
          options_, workspace, progress_);
      result_.evaluations += dry.evaluations;
      return dry;
    };
    // What the gauge tells of the first fill then tells of the rest.
    if (dry_is_correlated(inputs_)) {
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

estimate::ChanceResult counted_at_end(const CaseInputs& inputs, estimate::Options options) {
  options.cases = estimate::k_counted_at_ends;
  return crude_chance(inputs, options, {});
}

estimate::ChanceResult answer(const CaseInputs& inputs, const estimate::Options& options,
                              const estimate::Progress& progress) {
  if (options.method == estimate::Method::crude) return crude_chance(inputs, options, progress);
  if (!methods_of_outside(inputs, options).crude) {
    return Conditional(inputs, condition_of(inputs), options, progress).run();
  }
  estimate::ChanceResult result = crude_chance(inputs, options, progress, k_most_counted);
  result.method = "crude (no content is uncertain, so there is none to condition on)";
  return result;
}

/// Whether a rough estimate first may spare a precise one of what is lifted then.
bool lifts(const CaseInputs& inputs, const estimate::Options& options) {
  return !options.cases && !estimate::measured_inputs(inputs).empty();
}

/// A chance that is lifted needs no precision of its own.
estimate::Options roughly(estimate::Options options) {
  options.cases = std::uint64_t{1} << 14U;
  return options;
}

/// Every chance of the answer that is there.
std::vector<estimate::Estimate*> chances_of(estimate::ChanceResult& result) {
  std::vector<estimate::Estimate*> all{&result.outside, &result.run_dry};
  for (auto* one : {&result.below_minimum, &result.above_maximum, &result.clicked_off_early}) {
    if (*one) all.push_back(&**one);
  }
  return all;
}

/// Lifts the chances of the answer to what the measured inputs bear.
void bear(const CaseInputs& inputs, const estimate::Options& options,
          estimate::ChanceResult& result) {
  const estimate::Options few = estimate::at_ends(options);
  estimate::lift(inputs, chances_of(result), [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    const Condition condition = condition_of(ends);
    // Where nothing is left in the tank, the old fuel counts.
    estimate::ChanceResult there = methods_of_outside(ends, few).crude
                                       ? counted_at_end(ends, few)
                                       : Conditional(ends, condition, few, {}).run_chances();
    result.evaluations += there.evaluations;
    std::vector<estimate::Estimate> chances;
    for (const estimate::Estimate* one : chances_of(there)) chances.push_back(*one);
    return chances;
  });
}

}  // namespace

estimate::ChanceResult estimate_chance(const scenario::Scenario& scenario,
                                       const estimate::Options& options,
                                       const estimate::Progress& progress) {
  const CaseInputs inputs(scenario);
  require_fuel(inputs);
  estimate::ChanceResult result;
  const bool quick = lifts(inputs, options);
  if (quick) {
    result = answer(inputs, roughly(options), progress);
    bear(inputs, options, result);
  }
  const auto lifted = [](const std::optional<estimate::Estimate>& one) {
    return !one || one->few_values;
  };
  if (!quick || !lifted(result.outside) || !lifted(result.below_minimum) ||
      !lifted(result.above_maximum)) {
    result = answer(inputs, options, progress);
    bear(inputs, options, result);
  }
  judge(scenario.limits, result);
  list_clamped(inputs, result);
  return result;
}

namespace {

OutsideResult outside_alone(const CaseInputs& inputs, const estimate::Options& options,
                            std::uint64_t most_counted) {
  const Methods methods = methods_of_outside(inputs, options);
  estimate::ChanceResult result =
      methods.crude ? crude_chance(inputs, options, {}, most_counted)
                    : Conditional(inputs, condition_of(inputs), options, {}).run_outside();
  const estimate::Options few = estimate::at_ends(options);
  estimate::lift(inputs, std::array{&result.outside}, [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    const estimate::ChanceResult one =
        methods_of_outside(ends, few).crude
            ? counted_at_end(ends, few)
            : Conditional(ends, condition_of(ends), few, {}).run_outside();
    result.evaluations += one.evaluations;
    return std::vector{one.outside};
  });
  return {result.outside, result.evaluations, methods};
}

}  // namespace

OutsideResult estimate_outside(const scenario::Scenario& scenario, const estimate::Options& options,
                               std::uint64_t most_counted) {
  return estimate_outside(CaseInputs(scenario), options, most_counted);
}

OutsideResult estimate_outside(const CaseInputs& inputs, const estimate::Options& options,
                               std::uint64_t most_counted) {
  require_fuel(inputs);
  if (lifts(inputs, options)) {
    const OutsideResult quick = outside_alone(inputs, roughly(options), most_counted);
    if (quick.estimate.few_values) return quick;
  }
  return outside_alone(inputs, options, most_counted);
}

estimate::Estimate estimate_run_dry(const scenario::Scenario& scenario,
                                    const estimate::Options& options) {
  return estimate_run_dry(CaseInputs(scenario), options);
}

estimate::Estimate estimate_run_dry(const CaseInputs& inputs, const estimate::Options& options) {
  estimate::Estimate told = Conditional(inputs, condition_of(inputs), options, {}).run_dry_alone();
  estimate::lift(inputs, std::array{&told}, [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    const estimate::Options few = estimate::at_ends(options);
    return std::vector{Conditional(ends, condition_of(ends), few, {}).run_dry_alone()};
  });
  return told;
}

namespace {

SideResult side_alone(const CaseInputs& inputs, estimate::Side side, double limit,
                      const estimate::Options& options, const estimate::Progress& progress) {
  estimate::Workspace workspace(inputs);
  estimate::MeanResult result =
      side_of(inputs, condition_of(inputs), side, limit, options, workspace, progress);
  estimate::lift(inputs, std::array{&result.estimate}, [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    estimate::Workspace there(ends);
    const estimate::Options few = estimate::at_ends(options);
    const estimate::MeanResult one = side_of(ends, condition_of(ends), side, limit, few, there, {});
    result.evaluations += one.evaluations;
    return std::vector{one.estimate};
  });
  return {result.estimate, result.evaluations, result.stop, result.tilted};
}

}  // namespace

SideResult estimate_side(const scenario::Scenario& scenario, estimate::Side side, double limit,
                         const estimate::Options& options, const estimate::Progress& progress) {
  const CaseInputs inputs(scenario);
  require_fuel(inputs);
  if (lifts(inputs, options)) {
    const SideResult quick = side_alone(inputs, side, limit, roughly(options), progress);
    if (quick.estimate.few_values) return quick;
  }
  return side_alone(inputs, side, limit, options, progress);
}

}  // namespace blendrisk::tank
