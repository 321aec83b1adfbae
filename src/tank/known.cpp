#include "tank/known.hpp"

#include <vector>

#include "estimate/sample_size.hpp"
#include "estimate/weights.hpp"
#include "scenario/told.hpp"
#include "tank/condition.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseInputs;

constexpr std::uint64_t k_budget = std::uint64_t{1} << 20U;
constexpr double k_contradicts = 1e-6;
/// A figure that no fill stops short of by itself.
constexpr double k_little_l = 0.1;

estimate::MeanOfReplicates chance_shown(const CaseInputs& inputs,
                                        const estimate::Options& options) {
  const auto content = content_to_condition_on(inputs);
  const Shown integrand(LinearBlend(inputs, content));
  const estimate::Problem problem{{inputs, inputs.uncertain(content.value_or(inputs.size()))},
                                  &integrand,
                                  options.seed,
                                  sampling::Purpose::known,
                                  k_budget};
  estimate::Workspace workspace(inputs);
  return estimate::estimate_mean(problem, options, workspace, {}).mean;
}

double worth_of_points(const CaseInputs& inputs, std::uint64_t seed) {
  estimate::Workspace space(inputs);
  const std::size_t n = estimate::Workspace::k_capacity;
  sampling::sampler_of_all(inputs).draw_points({seed, sampling::Purpose::known}, 0, space.u,
                                               space.batch);
  LinearBlend(inputs, {}).evaluate(space.batch, n, space.columns);
  const estimate::Mass mass = estimate::mass_of({space.columns.weight(), n});
  return mass.sum > 0.0 ? mass.effective() / static_cast<double>(n) : 1.0 / static_cast<double>(n);
}

/// The scenario with figures as every input at its median gives them.
scenario::Scenario with_likely_figures(const scenario::Scenario& scenario) {
  scenario::Scenario likely = scenario;
  if (scenario.heel.burned_l) {
    likely.heel.burned_l = distributions::quantile(*scenario.heel.to_pump, 0.5) *
                           distributions::quantile(*scenario.engine.economy, 0.5);
  }
  scenario::Scenario planned = scenario::as_planned(scenario);
  for (std::size_t fill = 0; fill < scenario.fills.size(); ++fill) {
    if (!scenario.fills[fill].shown_l) break;
    if (scenario.fills[fill].stopped_by == scenario::StoppedBy::hand) {
      likely.fills[fill].shown_l = k_little_l;
    } else {
      planned.fills.resize(fill + 1);
      planned.fills[fill].amount_l.reset();
      const CaseInputs inputs(planned);
      sampling::CaseBatch medians(inputs, 1);
      estimate::BlendColumns columns(1);
      LinearBlend(inputs, {}).evaluate(medians, 1, columns);
      const double delivered = *columns.total() - *columns.heel();
      likely.fills[fill].shown_l = std::max(
          k_little_l, delivered / (1.0 + *medians.column(sampling::Slot::meter_error(fill))));
      planned = scenario::as_planned(scenario);
    }
    planned.fills[fill].amount_l = likely.fills[fill].shown_l;
  }
  return likely;
}

[[noreturn]] void refuse(const scenario::Scenario& scenario) {
  if (!scenario::any_shown(scenario)) {
    throw estimate::ImpossibleScenario(estimate::Impossible::second_look);
  }
  throw estimate::ImpossibleScenario(estimate::Impossible::figure, last_figure(scenario));
}

std::array<double, 5> heel_quantiles(const CaseInputs& inputs, std::uint64_t seed) {
  constexpr std::size_t k_scramblings = 8;
  constexpr std::size_t k_most = 512;
  constexpr std::size_t k_points = estimate::Workspace::k_capacity;
  const LinearBlend landing(inputs, {});
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs);
  estimate::Workspace space(inputs);
  std::vector<estimate::Weighted> heels;
  estimate::Mass mass;
  const auto enough = [&](std::size_t r) {
    return r >= k_most || (r >= k_scramblings && mass.effective() >= k_scramblings * k_points);
  };
  for (std::size_t r = 0; !enough(r); ++r) {
    sampler.draw_points({seed, sampling::Purpose::landed, r}, 0, space.u, space.batch);
    landing.evaluate(space.batch, k_points, space.columns);
    for (std::size_t i = 0; i < k_points; ++i) {
      heels.push_back(
          {space.columns.heel()[i], inputs.weighted() ? space.columns.weight()[i] : 1.0});
      mass.add(heels.back().weight);
    }
  }
  return estimate::quantiles_of(heels);
}

}  // namespace

std::optional<estimate::Known> chance_of_known(const CaseInputs& inputs,
                                               const estimate::Options& options) {
  if (!inputs.weighted()) return {};
  estimate::Options finer = options;
  finer.precision = options.precision / 3.0;
  finer.decision_serves = false;
  const estimate::MeanOfReplicates shown = chance_shown(inputs, finer);
  const scenario::Scenario likely = with_likely_figures(inputs.scenario());
  estimate::Options rough;
  rough.seed = options.seed;
  rough.precision = 0.1;
  const double most = chance_shown(CaseInputs(likely, inputs.scope()), rough).mean;
  if (!(shown.mean > k_contradicts * most)) {
    refuse(inputs.scenario());
  }
  return estimate::Known{shown, worth_of_points(inputs, options.seed)};
}

std::string last_figure(const scenario::Scenario& scenario) {
  std::size_t last = 0;
  for (std::size_t fill = 0; fill < scenario.fills.size(); ++fill) {
    if (scenario.fills[fill].shown_l) last = fill;
  }
  return scenario::figure_key(last);
}

void require_any(const CaseInputs& inputs, double sum_of_weights) {
  if (!(sum_of_weights > 0.0)) refuse(inputs.scenario());
}

estimate::Learned learned(const CaseInputs& inputs, std::optional<std::size_t> conditioned,
                          std::uint64_t seed) {
  const scenario::Scenario planned = scenario::as_planned(inputs.scenario());
  const CaseInputs before(planned, inputs.scope());
  return {heel_quantiles(before, seed), heel_quantiles(inputs, seed),
          estimate_landed(before, conditioned, seed).value};
}

}  // namespace blendrisk::tank
