#include "line/arrival.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/measured.hpp"
#include "estimate/sample_size.hpp"
#include "models/infinity.hpp"
#include "numeric/round_step.hpp"
#include "tank/chance.hpp"
#include "tank/condition.hpp"
#include "tank/known.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::line {
namespace {

using estimate::Limit;
using sampling::CaseInputs;
using sampling::Purpose;

/// Quantiles rest on at least this many arrivals.
constexpr std::size_t k_fewest = 100;
constexpr int k_most_points = 16;
/// Of the points of one rail chance.
constexpr std::uint64_t k_rail_budget = std::uint64_t{1} << 14U;

}  // namespace

Limit target_of(const Line& line) {
  const std::vector<Limit> limits = estimate::limits_of(line.inputs().scenario().limits);
  const sampling::CaseBatch medians(line.inputs(), 1);
  const double old = line.old_content(medians, 0);
  const auto beyond = [&](const Limit& limit) { return limit.sign() * (limit.value - old); };
  // The one that it is farther beyond, or less far within.
  return beyond(limits.front()) > beyond(limits.back()) ? limits.front() : limits.back();
}

namespace {

/// As if nothing lay beyond measured values.
estimate::Result rail_alone(const Line& line, const Limit& target, Moment moment,
                            const estimate::Options& options, std::uint64_t budget,
                            const std::optional<estimate::Known>& known) {
  const CaseInputs& inputs = line.inputs();
  const std::optional<std::size_t> content = tank::content_to_condition_on(inputs);
  const RailOutside integrand(line, tank::LinearBlend(inputs, content), target, moment);
  estimate::Problem problem{{inputs, inputs.uncertain(content.value_or(inputs.size()))},
                            &integrand,
                            options.seed,
                            Purpose::rail,
                            budget,
                            0.0,
                            known};
  estimate::Workspace workspace(inputs);
  const estimate::MeanResult result = estimate::estimate_mean(problem, options, workspace, {});
  return {result.estimate, result.effort};
}

/// Lifts a chance of the rail to what measured inputs bear.
void bear(const Line& line, const Limit& target, Moment moment, const estimate::Options& options,
          estimate::Result& result) {
  const auto at = [&](const scenario::Scenario& at_end, const estimate::Options& few) {
    const CaseInputs ends(at_end, sampling::Scope::line);
    return rail_alone(Line(ends), target, moment, few, estimate::k_counted_at_ends,
                      tank::chance_of_known(ends, few));
  };
  estimate::lift(line.inputs(), result, estimate::chance_of, options, at);
}

/// @param known  of these inputs: the same at every moment
estimate::Result rail_given(const std::optional<estimate::Known>& known, const Line& line,
                            const Limit& target, Moment moment, const estimate::Options& options,
                            std::uint64_t budget) {
  estimate::Result result = rail_alone(line, target, moment, options, budget, known);
  bear(line, target, moment, options, result);
  return result;
}

}  // namespace

estimate::Result estimate_rail(const Line& line, const Limit& target, Moment moment,
                               const estimate::Options& options, std::uint64_t budget) {
  const auto known = tank::chance_of_known(line.inputs(), options);
  return rail_given(known, line, target, moment, options, budget);
}

estimate::Result estimate_end(const Line& line, const Limit& target,
                              const estimate::Options& options) {
  const scenario::Scenario& scenario = line.inputs().scenario();
  const auto& back = scenario.line.return_flow;
  if (distributions::is_exact(back) && !(distributions::mean(back) > 0.0)) {
    const CaseInputs landing(scenario);
    if (tank::condition_of(landing).slot() || landing.uncertain(landing.size()).empty()) {
      return tank::estimate_side(scenario, target, options);
    }
  }
  return estimate_rail(line, target, {Moment::By::burned, k_infinity}, options,
                       std::uint64_t{1} << 22U);
}

namespace {

estimate::Estimate counted_outside(const ArrivalCases& cases, double burn_l) {
  std::uint64_t hits = 0;
  for (std::size_t i = 0; i < cases.size(); ++i) {
    const bool in_the_end = std::isinf(burn_l) && std::isinf(cases.out_to[i]);
    const bool out =
        std::isinf(burn_l) ? in_the_end : cases.out_from[i] <= burn_l && burn_l < cases.out_to[i];
    hits += out ? 1U : 0U;
  }
  return estimate::clopper_pearson(hits, cases.size());
}

void add_quantiles(const ArrivalCases& cases, Arrival& arrival) {
  std::vector<double> burns;
  std::vector<double> times;
  for (std::size_t i = 0; i < cases.size(); ++i) {
    if (!cases.arrives(i)) continue;
    burns.push_back(cases.out_to[i]);
    if (arrival.has_time) times.push_back(cases.out_until_s[i]);
  }
  arrival.arriving = static_cast<double>(burns.size()) / static_cast<double>(cases.size());
  if (burns.size() < k_fewest) return;
  arrival.burn_l = tank::quantiles_of(burns);
  if (arrival.has_time) arrival.time_s = tank::quantiles_of(times);
}

}  // namespace

Arrival estimate_arrival(const Line& line, const Limit& target, const ArrivalCases& cases,
                         const estimate::Options& options, double unit_l) {
  const CaseInputs& inputs = line.inputs();
  const bool crude = options.method == estimate::Method::crude;
  Arrival arrival;
  arrival.target = target;
  arrival.has_time = line.has_rates();
  arrival.effort.evaluations = cases.size();
  const std::optional<std::size_t> content = tank::content_to_condition_on(inputs);
  arrival.effort.methods = {
      .conditional = !crude && content, .points = !crude && !content, .crude = crude};
  if (content && !crude) arrival.conditioned_on = inputs.key(*content);
  add_quantiles(cases, arrival);
  const auto known = tank::chance_of_known(inputs, options);

  const auto outside_at = [&](double burn_l) {
    const Moment moment{Moment::By::burned, burn_l};
    estimate::Result result;
    if (crude) {
      result.estimate = counted_outside(cases, burn_l);
      bear(line, target, moment, options, result);
    } else {
      result = std::isinf(burn_l) ? estimate_end(line, target, options)
                                  : rail_given(known, line, target, moment, options, k_rail_budget);
    }
    arrival.effort.evaluations += result.effort.evaluations;
    return result.estimate;
  };
  arrival.never = outside_at(k_infinity);
  const LineCase typical = line.typical();
  const double far =
      arrival.burn_l ? (*arrival.burn_l)[4] : 2.0 * models::residence_mean(typical.to_injectors);
  const double about = far / 8.0 / unit_l;
  const double step = about > 0.0 && std::isfinite(about) ? numeric::round_step(about) : 0.1;
  for (int k = 0; k < k_most_points; ++k) {
    RailPoint point;
    // Rounded so that 3 × 0.1 is 0.3.
    point.burn_l = std::round(k * step * 1e9) / 1e9 * unit_l;
    point.outside = outside_at(point.burn_l);
    if (arrival.has_time) {
      point.time_s = typical.time_once_passed(typical.passed({Moment::By::burned, point.burn_l}));
    }
    arrival.rail.push_back(point);
    // Enough once the risk is well met, or hardly more than never arriving is left.
    const double risk = inputs.scenario().limits.accepted_risk;
    const double above_never = point.outside.chance - arrival.never.chance;
    if (point.burn_l > far &&
        (point.outside.chance < 0.2 * risk || above_never < 0.1 * arrival.never.chance)) {
      break;
    }
  }
  for (std::size_t slot = 0; slot < inputs.size(); ++slot) {
    const double share = inputs.clamped_share(slot);
    if (share > 0.001) arrival.held.push_back({inputs.key(slot), share});
  }
  return arrival;
}

RailCurve::RailCurve(const Line& line, const Limit& target, double about_l,
                     const estimate::Options& options)
    : content_(tank::content_to_condition_on(line.inputs())),
      integrand_(line, tank::LinearBlend(line.inputs(), content_), target,
                 {Moment::By::burned, about_l}),
      workspace_(line.inputs()),
      points_({{line.inputs(), line.inputs().uncertain(content_.value_or(line.inputs().size()))},
               &integrand_,
               options.seed,
               Purpose::rail,
               estimate::k_largest_round,
               0.0,
               tank::chance_of_known(line.inputs(), options)}),
      threads_(options.threads) {
  points_.fit(workspace_);
}

estimate::MeanOfReplicates RailCurve::outside(double burn_l) {
  integrand_.set_moment({Moment::By::burned, burn_l});
  estimate::MeanOfReplicates mean = points_.mean(size_, threads_, workspace_);
  mean.mean = std::clamp(mean.mean, 0.0, 1.0);
  return mean;
}

}  // namespace blendrisk::line
