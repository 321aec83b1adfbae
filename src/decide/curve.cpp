#include "decide/curve.hpp"

#include "decide/table.hpp"
#include "tank/condition.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::decide {
namespace {

CurvePoint landed_point(const scenario::Scenario& scenario, const estimate::Options& options) {
  const sampling::CaseInputs inputs(scenario);
  tank::require_fuel(inputs);
  const auto content = tank::condition_of(inputs).content;
  const auto result = tank::estimate_landed(inputs, content, options.seed);
  CurvePoint point;
  point.methods = tank::methods_on_points(inputs, content);
  point.landed = result.landed;
  point.evaluations = result.evaluations;
  return point;
}

CurvePoint arrival_point(const scenario::Scenario& scenario, const line::Moment& after,
                         const estimate::Options& options) {
  line::require_volume(scenario.line);
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  tank::require_fuel(inputs);
  const line::Line line(inputs);
  if (after.by == line::Moment::By::time && !line.has_rates()) {
    throw estimate::ImpossibleScenario(
        "engine.idle: is required beside a time; a rate such as 0.9 L/h, or what is burned");
  }
  constexpr std::uint64_t k_budget = std::uint64_t{1} << 18U;
  const auto result = line::estimate_rail(line, line::target_of(line), after, options, k_budget);
  CurvePoint point;
  point.methods = tank::methods_on_points(inputs, tank::content_to_condition_on(inputs));
  point.chance = result.estimate;
  point.evaluations = result.evaluations;
  return point;
}

}  // namespace

CurvePoint curve_point(const scenario::Scenario& scenario, const CurveRequest& request,
                       const estimate::Options& options) {
  switch (request.show) {
    case CurveShow::landed:
      return landed_point(scenario, options);
    case CurveShow::arrival:
      return arrival_point(scenario, request.after, options);
    case CurveShow::chance:
    case CurveShow::amount:
      break;
  }
  const Show show = request.show == CurveShow::amount ? Show::amount : Show::chance;
  const Cell cell = table_cell(scenario, show, options, request.step_l);
  return {cell.chance, cell.litres, {}, cell.evaluations, cell.methods};
}

std::vector<CurvePoint> curve_points(
    std::size_t count, const std::function<scenario::Scenario(std::size_t)>& scenario_of,
    const CurveRequest& request, const estimate::Options& options, const CellProgress& progress) {
  return cells_of<CurvePoint>(0, count, options, progress,
                              [&](std::size_t i, const estimate::Options& single) {
                                return curve_point(scenario_of(i), request, single);
                              });
}

std::vector<Crossing> find_crossings(const std::vector<double>& values,
                                     const std::vector<CurvePoint>& points, double risk,
                                     const std::function<double(double value)>& chance_at) {
  constexpr int k_halvings = 12;
  std::vector<Crossing> found;
  for (std::size_t i = 0; i + 1 < values.size(); ++i) {
    if (!points[i].chance || !points[i + 1].chance) continue;
    const bool first_within = points[i].chance->chance <= risk;
    if (first_within == (points[i + 1].chance->chance <= risk)) continue;
    double within = first_within ? values[i] : values[i + 1];
    double beyond = first_within ? values[i + 1] : values[i];
    for (int k = 0; k < k_halvings; ++k) {
      const double middle = 0.5 * (within + beyond);
      (chance_at(middle) <= risk ? within : beyond) = middle;
    }
    found.push_back({within, within < beyond});
  }
  return found;
}

}  // namespace blendrisk::decide
