#include "tank/chance.hpp"

#include <algorithm>
#include <utility>

#include "estimate/measured.hpp"
#include "tank/conditional.hpp"
#include "tank/crude_monte_carlo.hpp"
#include "tank/known.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseInputs;

constexpr double k_worth_saying = 0.001;  // share of held draws
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
                              const estimate::Progress& progress, FittedSides& fitted) {
  if (options.method == estimate::Method::crude) return crude_chance(inputs, options, progress);
  return methods_of_outside(inputs, options).crude
             ? crude_chance(inputs, options, progress, options.most_counted)
             : unlifted_chance(inputs, options, progress, &fitted);
}

/// What is far from being lifted as told roughly is not lifted as told well.
constexpr double k_far_from_lifted = 0.7;

/// compute(options, share); where measured inputs may lift what it tells, roughly first: a chance
/// that is lifted, as is_lifted(result) says, needs no precision of its own, and where that is far
/// from any it is not looked at again.
/// @param compute  lifts and tells the share, see estimate::lift, or does not where there is none
template <class Compute, class IsLifted>
auto roughly_first(const CaseInputs& inputs, const estimate::Options& options,
                   const Compute& compute, const IsLifted& is_lifted) {
  if (!options.cases && !estimate::measured_inputs(inputs).empty()) {
    estimate::Options rough = options;
    rough.cases = std::uint64_t{1} << 14U;
    double share = 0.0;
    const auto result = compute(rough, &share);
    if (is_lifted(result)) return result;
    if (share < k_far_from_lifted) return compute(options, nullptr);
  }
  double share = 0.0;
  return compute(options, &share);
}

bool is_lifted(const estimate::Result& result) {
  return result.estimate.few_values;
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
  FittedSides fitted;
  const auto borne = [&](const estimate::Options& how, double* share) {
    estimate::ChanceResult result = answer(inputs, how, progress, fitted);
    if (share) *share = lift_chances(inputs, how, result);
    return result;
  };
  estimate::ChanceResult result = roughly_first(inputs, options, borne, all_lifted);
  judge(scenario.limits, result);
  list_clamped(inputs, result);
  return result;
}

estimate::ChanceResult estimate_landing(const scenario::Scenario& scenario,
                                        estimate::Options options) {
  options.threads = 1;
  const CaseInputs inputs(scenario);
  require_fuel(inputs);
  if (methods_of_outside(inputs, options).crude) return estimate_chance(scenario, options);
  FittedSides fitted;
  const auto borne = [&](const estimate::Options& how, double* share) {
    estimate::ChanceResult result = unlifted_landing(inputs, how, &fitted);
    if (share) *share = lift_landing(inputs, how, result);
    return result;
  };
  estimate::ChanceResult result = roughly_first(inputs, options, borne, all_lifted);
  judge(scenario.limits, result);
  return result;
}

namespace {

estimate::Result outside_alone(const CaseInputs& inputs, const estimate::Options& options,
                               FittedSides& fitted, double* share) {
  const estimate::Methods methods = methods_of_outside(inputs, options);
  estimate::ChanceResult result = methods.crude
                                      ? crude_chance(inputs, options, {}, options.most_counted)
                                      : unlifted_outside(inputs, options, &fitted);
  if (share) *share = lift_outside(inputs, options, result);
  result.effort.methods = methods;
  return {result.outside, result.effort};
}

}  // namespace

estimate::Result estimate_outside(const scenario::Scenario& scenario,
                                  const estimate::Options& options) {
  return estimate_outside(CaseInputs(scenario), options);
}

estimate::Result estimate_outside(const CaseInputs& inputs, const estimate::Options& options,
                                  FittedSides* fitted) {
  require_fuel(inputs);
  FittedSides fitted_here;
  const auto outside = [&](const estimate::Options& how, double* share) {
    return outside_alone(inputs, how, fitted ? *fitted : fitted_here, share);
  };
  return roughly_first(inputs, options, outside, is_lifted);
}

estimate::Estimate estimate_run_dry(const scenario::Scenario& scenario,
                                    const estimate::Options& options) {
  return estimate_run_dry(CaseInputs(scenario), options);
}

estimate::Estimate estimate_run_dry(const CaseInputs& inputs, const estimate::Options& options) {
  estimate::Result told = unlifted_dry(inputs, options);
  lift_dry(inputs, options, told);
  return told.estimate;
}

namespace {

estimate::Result side_alone(const CaseInputs& inputs, const estimate::Limit& limit,
                            const estimate::Options& options, const estimate::Progress& progress,
                            double* share) {
  const auto side = [&](const CaseInputs& of, const estimate::Options& how,
                        const estimate::Progress& tell) {
    estimate::Workspace workspace(of);
    const estimate::MeanResult one =
        side_of(of, condition_of(of), chance_of_known(of, how), limit, how, workspace, tell);
    return estimate::Result{one.estimate, one.effort};
  };
  estimate::Result result = side(inputs, options, progress);
  const auto at = [&](const scenario::Scenario& at_end, const estimate::Options& few) {
    return side(CaseInputs(at_end), few, {});
  };
  if (share) *share = estimate::lift(inputs, result, estimate::chance_of, options, at);
  return result;
}

}  // namespace

estimate::Result estimate_side(const scenario::Scenario& scenario, const estimate::Limit& limit,
                               const estimate::Options& options,
                               const estimate::Progress& progress) {
  const CaseInputs inputs(scenario);
  require_fuel(inputs);
  const auto side = [&](const estimate::Options& how, double* share) {
    return side_alone(inputs, limit, how, progress, share);
  };
  return roughly_first(inputs, options, side, is_lifted);
}

}  // namespace blendrisk::tank
