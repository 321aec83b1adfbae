#include "estimate/chance.hpp"

#include <algorithm>
#include <utility>

#include "estimate/integrands.hpp"
#include "estimate/landed.hpp"
#include "estimate/mean.hpp"
#include "estimate/plain.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::CaseInputs;
using sampling::Purpose;

constexpr double kWorthSaying = 0.001;  // share of held draws

Purpose purpose_of(Side side) {
  return side == Side::below ? Purpose::below : Purpose::above;
}

MeanResult side_of(const CaseInputs& inputs, std::optional<std::size_t> conditioned, Side side,
                   double limit, const Options& options, Workspace& workspace,
                   const Progress& progress) {
  const Landing landing(inputs, conditioned);
  const OutsideLimit integrand(landing, side, limit);
  const Problem problem{&inputs, inputs.uncertain(conditioned.value_or(inputs.size())), &integrand,
                        options.seed, purpose_of(side)};
  return estimate_mean(problem, options, workspace, progress);
}

/// Puts the chances of an answer together, one after the other, on one workspace.
class Conditional {
 public:
  Conditional(const CaseInputs& inputs, std::optional<std::size_t> conditioned,
              const Options& options, const Progress& progress)
      : inputs_(inputs),
        conditioned_(conditioned),
        options_(options),
        progress_(progress),
        workspace_(inputs) {}

  ChanceResult run() {
    result_.stop = Stop::exact;
    outside();
    run_dry();
    if (inputs_.scenario().fills.back().amount_l) {
      const ClicksOffEarly integrand(inputs_);
      result_.clicked_off_early =
          mean({&inputs_, integrand.slots(), &integrand, options_.seed, Purpose::click_off})
              .estimate;
    }
    const LandedResult landed = estimate_landed(inputs_, conditioned_, options_.seed);
    result_.landed = landed.landed;
    result_.evaluations += landed.evaluations;
    result_.method = result_.stop == Stop::exact ? "exact" : "conditional";
    if (conditioned_) result_.conditioned_on = inputs_.key(*conditioned_);
    return std::move(result_);
  }

 private:
  MeanResult mean(const Problem& problem) {
    MeanResult result = estimate_mean(problem, options_, workspace_, progress_);
    result_.evaluations += result.evaluations;
    return result;
  }

  void outside() {
    const scenario::Limits& limits = inputs_.scenario().limits;
    MeanOfReplicates sum;
    bool none = true;
    double none_bound = 0.0;
    const auto add = [&](Side side, double limit) {
      const MeanResult one =
          side_of(inputs_, conditioned_, side, limit, options_, workspace_, progress_);
      result_.evaluations += one.evaluations;
      result_.stop = std::max(result_.stop, one.stop);
      result_.leaned |= one.leaned;
      note_quality(one, side);
      sum = sum_of(sum, one.mean);
      if (one.mean.mean > 0.0 || one.stop == Stop::exact) {
        none &= !(one.mean.mean > 0.0);
      }
      none_bound += one.mean.mean > 0.0 ? 0.0 : one.estimate.interval[1];
      return one.estimate;
    };
    if (limits.minimum) result_.below_minimum = add(Side::below, *limits.minimum);
    if (limits.maximum) result_.above_maximum = add(Side::above, *limits.maximum);
    if (none) {
      result_.outside = exact_estimate(0.0);
      result_.outside.interval[1] = std::min(none_bound, 1.0);
      result_.outside.upper_bound_only = none_bound > 0.0;
    } else {
      result_.outside = student_estimate(sum);
    }
  }

  void note_quality(const MeanResult& one, Side side) {
    if (!one.less_sure) return;
    result_.notes.push_back(
        std::string("A few of the points carry most of the chance of landing ") +
        (side == Side::below ? "below the minimum" : "above the maximum") +
        ": its interval is less sure than 95 %.");
  }

  void run_dry() {
    const double at_first = chance_dry_at_first(inputs_);
    if (inputs_.fills() == 1 || !(inputs_.scenario().tank.pickup_floor_l > 0.0)) {
      result_.run_dry = exact_estimate(at_first);
      return;
    }
    const RunsDryLater integrand(inputs_);
    const MeanResult later =
        mean({&inputs_, integrand.slots(), &integrand, options_.seed, Purpose::run_dry});
    const MeanOfReplicates both{later.mean.mean + at_first, later.mean.variance, later.mean.dof};
    result_.run_dry = later.mean.mean > 0.0 ? student_estimate(both) : later.estimate;
    if (later.mean.mean == 0.0 && at_first > 0.0) {
      result_.run_dry.chance = at_first;
      result_.run_dry.interval = {at_first, std::min(1.0, at_first + later.estimate.interval[1])};
      result_.run_dry.upper_bound_only = false;
    }
  }

  const CaseInputs& inputs_;
  std::optional<std::size_t> conditioned_;
  const Options& options_;
  const Progress& progress_;
  Workspace workspace_;
  ChanceResult result_;
};

void judge(const scenario::Limits& limits, ChanceResult& result) {
  const double risk = limits.accepted_risk;
  result.met = result.outside.chance <= risk;
  const auto& interval = result.outside.interval;
  result.clearly = result.met ? interval[1] <= risk : interval[0] > risk;
}

void list_held(const CaseInputs& inputs, ChanceResult& result) {
  for (std::size_t slot = 0; slot < inputs.size(); ++slot) {
    const double share = inputs.held_share(slot);
    if (share > kWorthSaying) result.held.push_back({inputs.key(slot), share});
  }
}

ChanceResult answer(const CaseInputs& inputs, const Options& options, const Progress& progress) {
  if (options.method == Method::plain) return plain_chance(inputs, options, progress);
  const std::optional<std::size_t> conditioned = content_to_condition_on(inputs);
  if (conditioned || inputs.uncertain(inputs.size()).empty()) {
    return Conditional(inputs, conditioned, options, progress).run();
  }
  ChanceResult result = plain_chance(inputs, options, progress);
  result.method = "plain (every content is exact, so there is none to condition on)";
  return result;
}

}  // namespace

ChanceResult estimate_chance(const scenario::Scenario& scenario, const Options& options,
                             const Progress& progress) {
  const CaseInputs inputs(scenario);
  ChanceResult result = answer(inputs, options, progress);
  judge(scenario.limits, result);
  list_held(inputs, result);
  return result;
}

SideResult estimate_side(const scenario::Scenario& scenario, Side side, double limit,
                         const Options& options, const Progress& progress) {
  const CaseInputs inputs(scenario);
  Workspace workspace(inputs);
  const MeanResult result = side_of(inputs, content_to_condition_on(inputs), side, limit, options,
                                    workspace, progress);
  return {result.estimate, result.evaluations, result.stop, result.leaned};
}

}  // namespace blendrisk::estimate
