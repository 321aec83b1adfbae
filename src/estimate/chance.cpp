#include "estimate/chance.hpp"

#include <algorithm>
#include <utility>

#include "estimate/condition.hpp"
#include "estimate/landed.hpp"
#include "estimate/mean.hpp"
#include "estimate/measured.hpp"
#include "estimate/methods.hpp"
#include "estimate/plain.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::CaseInputs;
using sampling::Purpose;

constexpr double kWorthSaying = 0.001;  // share of held draws
/// For the chances beside the verdict, which may stop short of the precision.
constexpr std::uint64_t kSideBudget = std::uint64_t{1} << 20U;
constexpr std::uint64_t kSearchBudget = std::uint64_t{1} << 14U;

MeanResult side_of(const CaseInputs& inputs, const Condition& condition, Side side, double limit,
                   const Options& options, Workspace& workspace, const Progress& progress) {
  const auto integrand = outside_limit(inputs, condition, side, limit);
  return estimate_mean(outside_problem(inputs, condition, side, *integrand, options.seed), options,
                       workspace, progress);
}

/// Puts the chances of an answer together, one after the other, on one workspace.
class Conditional {
 public:
  Conditional(const CaseInputs& inputs, const Condition& condition, const Options& options,
              const Progress& progress)
      : inputs_(inputs),
        condition_(condition),
        options_(options),
        progress_(progress),
        workspace_(inputs) {}

  ChanceResult run_outside() {
    result_.stop = Stop::exact;
    outside();
    return std::move(result_);
  }

  /// For a search: with fewer points.
  Estimate run_dry_alone() {
    run_dry(kSearchBudget);
    return result_.run_dry;
  }

  /// The chances alone, without the landed content.
  ChanceResult run_chances() {
    chances();
    return std::move(result_);
  }

  ChanceResult run() {
    chances();
    const LandedResult landed = estimate_landed(inputs_, condition_.content, options_.seed);
    result_.landed = landed.landed;
    result_.evaluations += landed.evaluations;
    result_.method = result_.stop == Stop::exact ? "exact" : "conditional";
    if (condition_.slot()) result_.conditioned_on = inputs_.key(*condition_.slot());
    return std::move(result_);
  }

 private:
  void chances() {
    result_.stop = Stop::exact;
    outside();
    run_dry(kSideBudget);
    if (inputs_.scenario().fills.back().amount_l) {
      const ClicksOffEarly integrand(inputs_);
      result_.clicked_off_early = mean({{inputs_, integrand.slots()},
                                        &integrand,
                                        options_.seed,
                                        Purpose::click_off,
                                        kSideBudget})
                                      .estimate;
    }
  }

  MeanResult mean(const Problem& problem) {
    MeanResult result = estimate_mean(problem, options_, workspace_, progress_);
    result_.evaluations += result.evaluations;
    return result;
  }

  void outside() {
    const scenario::Limits& limits = inputs_.scenario().limits;
    MeanOfReplicates sum;
    // What sides without any spread may be off by: no point landed there, or every one did.
    double below = 0.0;
    double above = 0.0;
    const auto add = [&](Side side, double limit) {
      const MeanResult one =
          side_of(inputs_, condition_, side, limit, options_, workspace_, progress_);
      result_.evaluations += one.evaluations;
      result_.stop = std::max(result_.stop, one.stop);
      result_.leaned |= one.leaned;
      note_quality(one, side);
      sum = sum_of(sum, one.mean);
      if (!(one.mean.variance > 0.0)) {
        below += one.mean.mean - one.estimate.interval[0];
        above += one.estimate.interval[1] - one.mean.mean;
      }
      return one.estimate;
    };
    if (limits.minimum) result_.below_minimum = add(Side::below, *limits.minimum);
    if (limits.maximum) result_.above_maximum = add(Side::above, *limits.maximum);
    result_.outside = student_estimate(sum);
    auto& [low, high] = result_.outside.interval;
    low = std::max(0.0, low - below);
    high = std::min(1.0, high + above);
    result_.outside.upper_bound_only |= !(sum.mean > 0.0) && high > 0.0;
  }

  void note_quality(const MeanResult& one, Side side) {
    if (!one.less_sure) return;
    const std::string which =
        side == Side::below ? "landing below the minimum" : "landing above the maximum";
    result_.notes.push_back(
        one.leaned ? "A few of the points carry most of the chance of " + which +
                         ": its interval is less sure than 95 %."
                   : "No lean toward " + which +
                         " could be fitted: the interval of its chance is less sure than 95 %.");
  }

  void run_dry(std::uint64_t budget) {
    const scenario::Scenario& scenario = inputs_.scenario();
    const double by_gauge = chance_dry_by_gauge(scenario);
    result_.run_dry = exact_estimate(by_gauge);
    if (!last_driven(scenario) || !(scenario.tank.pickup_floor_l > 0.0) || by_gauge >= 1.0) return;
    const auto estimate = [&](const CaseInputs& inputs, bool at_first_too) {
      const RunsDryLater integrand(inputs, at_first_too);
      Workspace workspace(inputs);
      const MeanResult dry = estimate_mean(
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
    const MeanResult later = estimate(CaseInputs(rest), false);
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
  const Options& options_;
  const Progress& progress_;
  Workspace workspace_;
  ChanceResult result_;
};

void judge(const scenario::Limits& limits, ChanceResult& result) {
  const double risk = limits.accepted_risk;
  const auto value = [](const Estimate& e) {
    return e.upper_bound_only ? e.interval[1] : e.chance;
  };
  result.met = value(result.outside) <= risk;
  result.dry_met = value(result.run_dry) <= limits.dry_risk;
  const auto& interval = result.outside.interval;
  result.clearly = result.met ? interval[1] <= risk : interval[0] > risk;
}

void list_held(const CaseInputs& inputs, ChanceResult& result) {
  for (std::size_t slot = 0; slot < inputs.size(); ++slot) {
    const double share = inputs.held_share(slot);
    if (share > kWorthSaying) result.held.push_back({inputs.key(slot), share});
  }
}

ChanceResult counted_at_end(const CaseInputs& inputs, Options options) {
  options.cases = k_counted_at_ends;
  return plain_chance(inputs, options, {});
}

ChanceResult answer(const CaseInputs& inputs, const Options& options, const Progress& progress) {
  if (options.method == Method::plain) return plain_chance(inputs, options, progress);
  if (!methods_of_outside(inputs, options).plain) {
    return Conditional(inputs, condition_of(inputs), options, progress).run();
  }
  ChanceResult result = plain_chance(inputs, options, progress, k_most_counted);
  result.method = "plain (no content is uncertain, so there is none to condition on)";
  return result;
}

/// Whether a rough estimate first may spare a precise one of what is lifted then.
bool lifts(const CaseInputs& inputs, const Options& options) {
  return !options.cases && !measured_inputs(inputs).empty();
}

/// A chance that is lifted needs no precision of its own.
Options roughly(Options options) {
  options.cases = std::uint64_t{1} << 14U;
  return options;
}

/// Every chance of the answer that is there.
std::vector<Estimate*> chances_of(ChanceResult& result) {
  std::vector<Estimate*> all{&result.outside, &result.run_dry};
  for (auto* one : {&result.below_minimum, &result.above_maximum, &result.clicked_off_early}) {
    if (*one) all.push_back(&**one);
  }
  return all;
}

/// Lifts the chances of the answer to what the measured inputs bear.
void bear(const CaseInputs& inputs, const Options& options, ChanceResult& result) {
  const Options few = at_ends(options);
  lift(inputs, chances_of(result), [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    const Condition condition = condition_of(ends);
    // Where nothing is left in the tank, the old fuel counts.
    ChanceResult there = methods_of_outside(ends, few).plain
                             ? counted_at_end(ends, few)
                             : Conditional(ends, condition, few, {}).run_chances();
    result.evaluations += there.evaluations;
    std::vector<Estimate> chances;
    for (const Estimate* one : chances_of(there)) chances.push_back(*one);
    return chances;
  });
}

}  // namespace

ChanceResult estimate_chance(const scenario::Scenario& scenario, const Options& options,
                             const Progress& progress) {
  const CaseInputs inputs(scenario);
  require_fuel(inputs);
  ChanceResult result;
  const bool quick = lifts(inputs, options);
  if (quick) {
    result = answer(inputs, roughly(options), progress);
    bear(inputs, options, result);
  }
  const auto lifted = [](const std::optional<Estimate>& one) { return !one || one->few_values; };
  if (!quick || !lifted(result.outside) || !lifted(result.below_minimum) ||
      !lifted(result.above_maximum)) {
    result = answer(inputs, options, progress);
    bear(inputs, options, result);
  }
  judge(scenario.limits, result);
  list_held(inputs, result);
  return result;
}

namespace {

OutsideResult outside_alone(const CaseInputs& inputs, const Options& options,
                            std::uint64_t most_counted) {
  const Methods methods = methods_of_outside(inputs, options);
  ChanceResult result = methods.plain
                            ? plain_chance(inputs, options, {}, most_counted)
                            : Conditional(inputs, condition_of(inputs), options, {}).run_outside();
  const Options few = at_ends(options);
  lift(inputs, std::array{&result.outside}, [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    const ChanceResult one = methods_of_outside(ends, few).plain
                                 ? counted_at_end(ends, few)
                                 : Conditional(ends, condition_of(ends), few, {}).run_outside();
    result.evaluations += one.evaluations;
    return std::vector{one.outside};
  });
  return {result.outside, result.evaluations, methods};
}

}  // namespace

OutsideResult estimate_outside(const scenario::Scenario& scenario, const Options& options,
                               std::uint64_t most_counted) {
  return estimate_outside(CaseInputs(scenario), options, most_counted);
}

OutsideResult estimate_outside(const CaseInputs& inputs, const Options& options,
                               std::uint64_t most_counted) {
  require_fuel(inputs);
  if (lifts(inputs, options)) {
    const OutsideResult quick = outside_alone(inputs, roughly(options), most_counted);
    if (quick.estimate.few_values) return quick;
  }
  return outside_alone(inputs, options, most_counted);
}

Estimate estimate_run_dry(const scenario::Scenario& scenario, const Options& options) {
  return estimate_run_dry(CaseInputs(scenario), options);
}

Estimate estimate_run_dry(const CaseInputs& inputs, const Options& options) {
  Estimate told = Conditional(inputs, condition_of(inputs), options, {}).run_dry_alone();
  lift(inputs, std::array{&told}, [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    const Options few = at_ends(options);
    return std::vector{Conditional(ends, condition_of(ends), few, {}).run_dry_alone()};
  });
  return told;
}

namespace {

SideResult side_alone(const CaseInputs& inputs, Side side, double limit, const Options& options,
                      const Progress& progress) {
  Workspace workspace(inputs);
  MeanResult result =
      side_of(inputs, condition_of(inputs), side, limit, options, workspace, progress);
  lift(inputs, std::array{&result.estimate}, [&](const scenario::Scenario& at_end) {
    const CaseInputs ends(at_end);
    Workspace there(ends);
    const Options few = at_ends(options);
    const MeanResult one = side_of(ends, condition_of(ends), side, limit, few, there, {});
    result.evaluations += one.evaluations;
    return std::vector{one.estimate};
  });
  return {result.estimate, result.evaluations, result.stop, result.leaned};
}

}  // namespace

SideResult estimate_side(const scenario::Scenario& scenario, Side side, double limit,
                         const Options& options, const Progress& progress) {
  const CaseInputs inputs(scenario);
  require_fuel(inputs);
  if (lifts(inputs, options)) {
    const SideResult quick = side_alone(inputs, side, limit, roughly(options), progress);
    if (quick.estimate.few_values) return quick;
  }
  return side_alone(inputs, side, limit, options, progress);
}

}  // namespace blendrisk::estimate
