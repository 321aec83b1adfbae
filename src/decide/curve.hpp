#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "decide/cells.hpp"
#include "line/arrival.hpp"
#include "tank/chance.hpp"

/// One answer along a key: the points of risk curves.
namespace blendrisk::decide {

/// What a curve shows: the chance of landing outside the limits, the safe amount, the landed
/// content, or the chance that the injectors still get fuel outside the limit.
enum class CurveShow { chance, amount, landed, arrival };

struct CurvePoint {
  std::optional<estimate::Estimate> chance;  ///< chance and arrival
  std::optional<double> litres;              ///< amount; none where no amount will do
  std::optional<estimate::Landed> landed;
  std::uint64_t evaluations = 0;
  tank::Methods methods{};
};

struct CurveRequest {
  CurveShow show = CurveShow::chance;
  double step_l = 0.01;  ///< of the dispenser
  line::Moment after;    ///< arrival: when
};

/// @throws estimate::ImpossibleScenario
CurvePoint curve_point(const scenario::Scenario& scenario, const CurveRequest& request,
                       const estimate::Options& options);

/// Points [0, count) of scenario_of, see cells_of.
std::vector<CurvePoint> curve_points(
    std::size_t count, const std::function<scenario::Scenario(std::size_t)>& scenario_of,
    const CurveRequest& request, const estimate::Options& options, const CellProgress& progress);

/// Where a curve of chances crosses a risk.
struct Crossing {
  double value = 0.0;        ///< within the risk, close to where it is crossed
  bool within_below = true;  ///< smaller values are within the risk
};

/// Between every two neighbours on either side of the risk, by bisection of fresh estimates to
/// 1/4096 of their distance; in the order of the values. The value is one that was within the risk.
std::vector<Crossing> find_crossings(const std::vector<double>& values,
                                     const std::vector<CurvePoint>& points, double risk,
                                     const std::function<double(double value)>& chance_at);

}  // namespace blendrisk::decide
