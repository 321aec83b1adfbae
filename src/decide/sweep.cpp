#include "decide/sweep.hpp"

#include "decide/allowed.hpp"
#include "decide/heel.hpp"
#include "decide/variants.hpp"
#include "numeric/solve.hpp"
#include "tank/condition.hpp"
#include "tank/known.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Options;
using scenario::Scenario;

/// Coarser than for one answer alone.
constexpr SearchSize k_size{4, 6, {}};

Cell amounts(const Scenario& scenario, const SweepRequest& request, const Options& options) {
  require_to_plan(scenario);
  AmountSearch search(scenario, options, request.step_l, k_size);
  Cell cell;
  if (const auto allowed = search.allowed()) {
    cell.litres = allowed->least;
    cell.other_end_l = allowed->largest;
    cell.again_from_l = allowed->again_from;
  }
  cell.effort = search.effort();
  cell.effort.methods = methods_of_solving(scenario, options);
  return cell;
}

Cell readings(const Scenario& scenario, const SweepRequest& request, const Options& options) {
  require_to_plan(scenario);
  const auto found = readings_within_risk(scenario, options, request.step_l, k_size);
  Cell cell;
  if (found.value) {
    cell.litres = found.value->highest;
    if (found.value->lowest > 0.0) cell.other_end_l = found.value->lowest;
  }
  cell.effort = found.effort;
  cell.effort.methods = methods_of_solving(scenario, options);
  return cell;
}

Cell landed(const Scenario& scenario, const Options& options) {
  const sampling::CaseInputs inputs(scenario);
  tank::require_fuel(inputs);
  tank::chance_of_known(inputs, options);  // whether the figures fit the scenario
  const auto content = tank::condition_of(inputs).content;
  const auto result = tank::estimate_landed(inputs, content, options.seed, false);
  Cell cell;
  cell.landed = result.value;
  cell.effort = result.effort;
  cell.effort.methods = tank::methods_on_points(inputs, content);
  return cell;
}

Cell arrival(const Scenario& scenario, const line::Moment& after, const Options& options) {
  line::require_volume(scenario.line);
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  tank::require_fuel(inputs);
  const line::Line line(inputs);
  if (after.by == line::Moment::By::time && !line.has_rates()) {
    throw estimate::ImpossibleScenario(estimate::Impossible::no_rate_by_time);
  }
  constexpr std::uint64_t k_most = std::uint64_t{1} << 18U;
  const auto result = line::estimate_rail(line, line::target_of(line), after, options, k_most);
  Cell cell;
  cell.chance = result.estimate;
  cell.effort = result.effort;
  cell.effort.methods = tank::methods_on_points(inputs, tank::content_to_condition_on(inputs));
  return cell;
}

Cell chance(const Scenario& scenario, const Options& options) {
  const auto outside = tank::estimate_outside(scenario, options);
  Cell cell;
  cell.chance = outside.estimate;
  cell.effort = outside.effort;
  return cell;
}

}  // namespace

bool is_met(const Cell& cell, double accepted_risk) {
  return cell.chance ? cell.chance->chance <= accepted_risk : cell.litres.has_value();
}

Cell swept(const Scenario& scenario, const SweepRequest& request, const Options& options) {
  switch (request.show) {
    case Show::amount:
      return amounts(scenario, request, options);
    case Show::heel:
      return readings(scenario, request, options);
    case Show::landed:
      return landed(scenario, options);
    case Show::arrival:
      return arrival(scenario, request.after, options);
    case Show::chance:
      break;
  }
  return chance(scenario, options);
}

std::vector<Cell> swept(std::size_t from, std::size_t to, const CellScenario& scenario_of,
                        const SweepRequest& request, const Options& options,
                        const CellProgress& progress) {
  return cells_of<Cell>(from, to, options, progress, [&](std::size_t i, const Options& single) {
    return swept(scenario_of(i), request, single);
  });
}

std::vector<Crossing> find_crossings(const std::vector<double>& values,
                                     const std::vector<Cell>& points, double risk,
                                     const std::function<double(double value)>& chance_at) {
  constexpr int k_steps = 4096;
  std::vector<Crossing> found;
  for (std::size_t i = 0; i + 1 < values.size(); ++i) {
    if (!points[i].chance || !points[i + 1].chance) continue;
    const bool first_within = points[i].chance->chance <= risk;
    if (first_within == (points[i + 1].chance->chance <= risk)) continue;
    const double within = first_within ? values[i] : values[i + 1];
    const double beyond = first_within ? values[i + 1] : values[i];
    const auto at = [&](int step) { return within + (beyond - within) * step / k_steps; };
    const int first_beyond =
        numeric::first_step(0, k_steps, [&](int step) { return chance_at(at(step)) > risk; });
    found.push_back({at(first_beyond - 1), within < beyond});
  }
  return found;
}

}  // namespace blendrisk::decide
