#include <algorithm>
#include <limits>
#include <memory>

#include "estimate/evidence.hpp"
#include "estimate/interval.hpp"
#include "line/posterior_model.hpp"
#include "models/infinity.hpp"

namespace blendrisk::line {
namespace {

/// A chance is told well enough by this relative standard error.
constexpr double k_well_told = 0.1;
/// Smaller chances are told as bounds.
constexpr double k_least_told = 1e-6;
/// So many cases tell where a tail of them begins, well or at all.
constexpr double k_cases_of_tail = 50.0, k_fewest_of_tail = 2.0;
/// Above 0.
constexpr double k_event = std::numeric_limits<double>::min();
/// The first law of an evidence is wider than its cases by this.
constexpr double k_wider_fit = 1.5;
/// An evidence whose points are less even may have missed a part of it.
constexpr double k_fairly_even = 0.01;

}  // namespace

/// Chances that hardly any case of the posterior shows: the cases are driven to the event, which
/// tells where it is, and the quotient of its evidence and that of all tells its chance.
class Follow::Tails {
 public:
  explicit Tails(Follow& owner) : owner_(owner) {}

  /// That the state is above 0.
  /// @param effective_cases  of the posterior
  estimate::Estimate chance(const State& state, double effective_cases) {
    const double least = std::min(k_least_told, 0.1 * owner_.scenario_.limits.accepted_risk);
    estimate::SmcSampler cases(*owner_.smc_);
    const estimate::Climb found = climb(cases, state, k_event, least);
    const estimate::Estimate climbed = estimate::student_estimate(found.share);
    if (!found.reached) {
      // The event has less of what was reached: nothing of it, where no case came any higher.
      const bool small = found.share.mean < 2.0 * least;
      const auto n = static_cast<std::uint64_t>(std::max(1.0, effective_cases));
      const double of_it = small ? 1.0 : estimate::zero_hit_bound(n).interval[1];
      return {0.0, 0.0, {0.0, of_it * climbed.interval[1]}, true};
    }
    const estimate::Evidence event = evidence(&state, k_event, cases.fit(k_wider_fit));
    if (!(event.mean.mean > 0.0) || !(whole().mean.mean > 0.0)) return climbed;
    estimate::Estimate estimate = estimate::student_estimate(quotient(event, whole()));
    if (std::min(event.effective_share, whole().effective_share) < k_fairly_even) {
      estimate.interval[0] = std::min(estimate.interval[0], climbed.interval[0]);
      estimate.interval[1] = std::max(estimate.interval[1], climbed.interval[1]);
    }
    return estimate;
  }

  /// The value of a state that is exceeded as often as half the accepted risk.
  std::optional<double> enough(const State& state) {
    const double share = 0.5 * owner_.scenario_.limits.accepted_risk;
    estimate::SmcSampler cases(*owner_.smc_);
    // They tell a share to some 15 %: from a larger one, so that the level is above its start.
    double level = climb(cases, state, k_infinity, std::min(2.0 * share, 0.5)).level;
    const estimate::Evidence end = evidence(&state, level, cases.fit(k_wider_fit));
    if (end.mean.mean > 0.0 && whole().mean.mean > 0.0) {
      level = estimate::level_of(end, whole(), share);
    }
    if (level > 0.5 * Model::k_never) return std::nullopt;
    return std::max(0.0, level);
  }

 private:
  estimate::MakeLikelihood model_of(const State* state) const {
    return [this, state] { return std::make_unique<Model>(owner_, state); };
  }

  estimate::Climb climb(estimate::SmcSampler& cases, const State& state, double level,
                        double least) {
    const std::uint64_t before = cases.evaluations();
    const estimate::Climb found =
        cases.climb(model_of(&state), level, least, owner_.options_.threads);
    owner_.evaluations_ += cases.evaluations() - before;
    return found;
  }

  estimate::Evidence evidence(const State* state, double floor, const estimate::NormalFit& first) {
    estimate::Evidence found =
        estimate::evidence(model_of(state), floor, first, owner_.options_.seed,
                           state == nullptr ? 0 : 1, owner_.options_.threads);
    owner_.evaluations_ += found.evaluations;
    return found;
  }

  const estimate::Evidence& whole() {
    if (!whole_) whole_ = evidence(nullptr, -k_infinity, owner_.smc_->fit(k_wider_fit));
    return *whole_;
  }

  Follow& owner_;
  std::optional<estimate::Evidence> whole_;
};

void Follow::sharpen(Detail detail, Posterior& result) {
  const double accepted = scenario_.limits.accepted_risk;
  const bool all = detail == Detail::all;
  const double effective_cases = result.effective_cases;
  Tails tails(*this);
  const auto told = [&](const estimate::Estimate& one) {
    const bool served = one.interval[1] <= accepted || one.interval[0] > accepted;
    const bool well = !one.upper_bound_only && one.standard_error <= k_well_told * one.chance;
    // Where nothing is uncertain all cases are the same.
    return sampler_.size() == 0 || one.chance > 0.5 || well || (served && !all);
  };
  const auto sharpened = [&](estimate::Estimate& one, const State& state) {
    if (!told(one)) one = tails.chance(state, effective_cases);
  };
  sharpened(result.rail_outside, {State::Of::rail, target_});
  for (const estimate::Limit& limit : estimate::limits_of(scenario_.limits)) {
    auto& of_tank = limit.below() ? result.below_minimum : result.above_maximum;
    sharpened(*of_tank, {State::Of::landed, limit});
  }
  if (result.rail_outside.interval[1] <= 0.5 * accepted) {
    result.enough_left_l = 0.0;
    if (line_.has_rates()) result.enough_left_s = 0.0;
  } else if (sampler_.size() > 0 &&
             0.5 * accepted * effective_cases < (all ? k_cases_of_tail : k_fewest_of_tail)) {
    result.enough_left_l = tails.enough({State::Of::burn_left, target_});
    if (line_.has_rates()) result.enough_left_s = tails.enough({State::Of::time_left, target_});
  }
  // By the upper end: what the cases do not tell is not on their side.
  const auto& other = target_.below() ? result.above_maximum : result.below_minimum;
  result.other_too_often = other && other->chance > accepted;
  result.met = result.rail_outside.interval[1] <= accepted && !result.other_too_often;
}

}  // namespace blendrisk::line
