#include "tank/within_risk.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include "estimate/interval.hpp"
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

/// A first look at a chance: how, and what its points may miss without a trace.
struct Look {
  estimate::Options how;
  double unseen = 0.0;
};

/// By a few points of the own law, and by more under importance sampling.
std::vector<Look> looks_at_points(const estimate::Options& options) {
  Look own{options, estimate::unseen_in(k_rough_cases)};
  own.how.importance_sampling = false;
  own.how.cases = k_rough_cases;
  Look fitted{options};
  fitted.how.importance_sampling = true;
  fitted.how.cases = 4 * k_rough_cases;
  return {own, fitted};
}

/// The same where cases are counted; none where it is said how many.
std::vector<Look> looks_at_counts(const estimate::Options& options) {
  std::vector<Look> looks;
  for (const std::uint64_t cases : k_rough_counts) {
    if (options.cases) break;
    looks.push_back({options, estimate::unseen_in(cases)});
    looks.back().how.cases = cases;
  }
  return looks;
}

/// Whether a chance is within a risk: by the first look that tells, and else in full.
/// @param rough    (how)   the chance as if nothing lay beyond measured values
/// @param lift     (rough)  to what they bear
/// @param in_full  ()    the chance as it is told
template <class Chance, class Lift, class InFull>
estimate::Found<bool> is_within(double risk, const std::vector<Look>& looks, const Chance& rough,
                                const Lift& lift, const InFull& in_full) {
  estimate::Found<bool> within;
  const auto take = [&](const estimate::Estimate& chance, const estimate::Effort& effort) {
    within.effort += effort;
    within.value = chance.chance <= risk * k_rounding;
  };
  for (const Look& look : looks) {
    auto found = rough(look.how);
    const auto [beyond, below] = rough_of(estimate_of(found), risk, look.unseen);
    if (below) lift(found);
    take(estimate_of(found), found.effort);
    if (beyond || below) return within;
  }
  const estimate::Result told = in_full();
  take(told.estimate, told.effort);
  return within;
}

/// Whether measured values may bear more than the risk.
bool may_bear(const CaseInputs& inputs, double risk) {
  return estimate::most_added(estimate::measured_inputs(inputs)) > risk;
}

}  // namespace

estimate::Found<bool> outside_within_risk(const CaseInputs& inputs, const estimate::Options& asked,
                                          estimate::SidesNearby* nearby) {
  estimate::Options options = asked;
  options.decides = true;
  require_fuel(inputs);
  const double risk = inputs.scenario().limits.accepted_risk;
  FittedSides fitted(nearby);
  const auto told = [&](const estimate::Options& how) {
    return estimate_outside(inputs, how, &fitted);
  };
  const auto in_full = [&] { return told(options); };
  if (methods_of_outside(inputs, options).crude) {
    const auto no_lift = [](const estimate::Result&) {};
    return is_within(risk, looks_at_counts(options), told, no_lift, in_full);
  }
  const auto own = [&](const estimate::Options& how) {
    return unlifted_outside(inputs, how, &fitted);
  };
  const auto lift = [&](estimate::ChanceResult& all) {
    if (may_bear(inputs, risk)) lift_outside(inputs, options, all);
  };
  return is_within(risk, looks_at_points(options), own, lift, in_full);
}

bool dry_within_risk(const CaseInputs& inputs, const estimate::Options& options) {
  const double risk = inputs.scenario().limits.dry_risk;
  const auto own = [&](const estimate::Options& how) { return unlifted_dry(inputs, how); };
  const auto lift = [&](estimate::Result& told) {
    if (may_bear(inputs, risk)) lift_dry(inputs, options, told);
  };
  const auto in_full = [&] { return estimate::Result{estimate_run_dry(inputs, options), {}}; };
  return is_within(risk, looks_at_points(options), own, lift, in_full).value;
}

}  // namespace blendrisk::tank
