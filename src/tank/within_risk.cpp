#include "tank/within_risk.hpp"

#include <algorithm>
#include <array>

#include "estimate/measured.hpp"
#include "tank/chance.hpp"
#include "tank/conditional.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseInputs;

/// The first points, and the factor beyond which a rough chance is clear.
constexpr std::uint64_t k_rough_cases = 1024;
constexpr double k_clearly_off = 1.35;
/// The first cases where they are counted.
constexpr std::array<std::uint64_t, 2> k_rough_counts{std::uint64_t{1} << 13U,
                                                      std::uint64_t{1} << 16U};

estimate::Estimate& estimate_of(estimate::Result& result) {
  return result.estimate;
}
estimate::Estimate& estimate_of(estimate::ChanceResult& result) {
  return result.outside;
}

/// Where a rough chance lies.
struct Rough {
  bool beyond = false, below = false;
};

/// @param unseen  what so many cases may miss without a trace
Rough rough_of(const estimate::Estimate& chance, double risk, double unseen) {
  const double reach = 4.0 * chance.standard_error;
  const double most = std::max(chance.interval[1], chance.chance + reach) + unseen;
  return {chance.chance - reach > k_clearly_off * risk, k_clearly_off * most < risk};
}

/// Cases of which none was outside may be of a chance of so much, once in a thousand times.
double unseen_in(std::uint64_t cases) {
  return 7.0 / static_cast<double>(cases);
}

/// Whether a chance, as told, is within a risk: by a few points of the own law where they tell, by
/// more under importance sampling, and else in full.
/// @param own    (how)   the chance as if nothing lay beyond measured values
/// @param lift   (told)  to what they bear
/// @param in_full  ()    the chance as it is told
template <class Own, class Lift, class InFull>
estimate::Found<bool> is_within(const CaseInputs& inputs, double risk,
                                const estimate::Options& options, const Own& own, const Lift& lift,
                                const InFull& in_full) {
  const auto is_met = [risk](double chance) { return chance <= risk * k_rounding; };
  estimate::Found<bool> within;
  estimate::Options how = options;
  for (const bool importance_sampling : {false, true}) {
    how.importance_sampling = importance_sampling;
    how.cases = importance_sampling ? 4 * k_rough_cases : k_rough_cases;
    auto rough = own(how);
    const estimate::Estimate& chance = estimate_of(rough);
    const auto [beyond, below] =
        rough_of(chance, risk, importance_sampling ? 0.0 : unseen_in(k_rough_cases));
    if (below && estimate::most_added(estimate::measured_inputs(inputs)) > risk) lift(rough);
    within.effort.evaluations += rough.effort.evaluations;
    within.value = !beyond && is_met(chance.chance);
    if (beyond || below) return within;
  }
  const estimate::Result told = in_full();
  within.effort.evaluations += told.effort.evaluations;
  within.value = is_met(told.estimate.chance);
  return within;
}

/// The same where cases are counted.
/// @param count  (how)
template <class Count>
estimate::Found<bool> is_counted_within(double risk, const estimate::Options& options,
                                        const Count& count) {
  estimate::Found<bool> within;
  const auto take = [&](const estimate::Options& how) {
    const estimate::Result told = count(how);
    within.effort += told.effort;
    within.value = told.estimate.chance <= risk * k_rounding;
    return told.estimate;
  };
  for (const std::uint64_t cases : k_rough_counts) {
    if (options.cases) break;
    estimate::Options how = options;
    how.cases = cases;
    const auto [beyond, below] = rough_of(take(how), risk, unseen_in(cases));
    if (beyond || below) return within;
  }
  take(options);
  return within;
}

}  // namespace

estimate::Found<bool> outside_within_risk(const CaseInputs& inputs,
                                          const estimate::Options& options) {
  require_fuel(inputs);
  const double risk = inputs.scenario().limits.accepted_risk;
  FittedSides fitted;
  const auto told = [&](const estimate::Options& how) {
    return estimate_outside(inputs, how, k_most_counted, &fitted);
  };
  if (methods_of_outside(inputs, options).crude) return is_counted_within(risk, options, told);
  const auto in_full = [&] { return told(options); };
  const auto own = [&](const estimate::Options& how) {
    return unlifted_outside(inputs, how, &fitted);
  };
  const auto lift = [&](estimate::ChanceResult& all) { lift_outside(inputs, options, all); };
  return is_within(inputs, risk, options, own, lift, in_full);
}

bool dry_within_risk(const CaseInputs& inputs, const estimate::Options& options) {
  const auto own = [&](const estimate::Options& how) { return unlifted_dry(inputs, how); };
  const auto lift = [&](estimate::Result& told) { lift_dry(inputs, options, told); };
  const auto in_full = [&] { return estimate::Result{estimate_run_dry(inputs, options), {}}; };
  return is_within(inputs, inputs.scenario().limits.dry_risk, options, own, lift, in_full).value;
}

}  // namespace blendrisk::tank
