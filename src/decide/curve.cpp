#include "decide/curve.hpp"

#include <cmath>

#include "decide/table.hpp"
#include "estimate/condition.hpp"
#include "estimate/landed.hpp"

namespace blendrisk::decide {
namespace {

CurvePoint landed_point(const scenario::Scenario& scenario, const estimate::Options& options) {
  const sampling::CaseInputs inputs(scenario);
  estimate::require_fuel(inputs);
  const auto result =
      estimate::estimate_landed(inputs, estimate::condition_of(inputs).content, options.seed);
  CurvePoint point;
  point.landed = result.landed;
  point.evaluations = result.evaluations;
  return point;
}

CurvePoint arrival_point(const scenario::Scenario& scenario, const estimate::Moment& after,
                         const estimate::Options& options) {
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  estimate::require_fuel(inputs);
  const estimate::Line line(inputs);
  if (after.by == estimate::Moment::By::time && !line.has_rates()) {
    throw estimate::ImpossibleScenario(
        "engine.idle: is required beside a time; a rate such as 0.9 L/h, or what is burned");
  }
  constexpr std::uint64_t k_budget = std::uint64_t{1} << 18U;
  const auto result =
      estimate::estimate_rail(line, estimate::target_of(line), after, options, k_budget);
  CurvePoint point;
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
  return {cell.chance, cell.litres, {}, cell.evaluations};
}

std::vector<CurvePoint> curve_points(
    std::size_t count, const std::function<scenario::Scenario(std::size_t)>& scenario_of,
    const CurveRequest& request, const estimate::Options& options, const CellProgress& progress) {
  return cells_of<CurvePoint>(0, count, options, progress,
                              [&](std::size_t i, const estimate::Options& single) {
                                return curve_point(scenario_of(i), request, single);
                              });
}

std::vector<double> crossings(const std::vector<double>& x, const std::vector<double>& chance,
                              double risk) {
  std::vector<double> places;
  for (std::size_t i = 0; i + 1 < x.size(); ++i) {
    const double a = chance[i];
    const double b = chance[i + 1];
    if (!std::isfinite(a) || !std::isfinite(b) || (a <= risk) == (b <= risk)) continue;
    const bool logs = a > 0.0 && b > 0.0;
    const double share = logs ? std::log(risk / a) / std::log(b / a) : (risk - a) / (b - a);
    places.push_back(x[i] + share * (x[i + 1] - x[i]));
  }
  return places;
}

}  // namespace blendrisk::decide
