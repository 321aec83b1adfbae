#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "decide/cells.hpp"
#include "line/arrival.hpp"

/// One answer in many scenarios: the cells of a table, the points of curves.
namespace blendrisk::decide {

/// What a cell holds: the amounts or the readings within the accepted risk, the chance of landing
/// outside the limits, the landed content, or the chance that the injectors still get fuel outside
/// the limit.
enum class Show { amount, heel, chance, landed, arrival };

struct SweepRequest {
  Show show = Show::chance;
  double step_l = 0.01;  ///< of the display that amounts or readings are rounded to
  line::Moment after{};  ///< arrival: when
};

struct Cell {
  /// The safe amount or the highest reading [L], none where no value will do.
  std::optional<double> litres;
  std::optional<estimate::Estimate> chance;  ///< chance and arrival
  std::optional<estimate::Landed> landed;
  estimate::Effort effort{};
  /// The other end, where a limit binds there too: the largest amount, or the lowest reading [L].
  std::optional<double> other_end_l = {};
  std::optional<double> again_from_l = {};  ///< of amounts, see AllowedAmounts
};

/// Whether a cell of amounts or readings has one, or its chance is within the accepted risk.
bool is_met(const Cell& cell, double accepted_risk);

/// @throws estimate::ImpossibleScenario
Cell swept(const scenario::Scenario& scenario, const SweepRequest& request,
           const estimate::Options& options);

/// Makes the scenario of a cell by its number.
using CellScenario = std::function<scenario::Scenario(std::size_t)>;

/// Cells [from, to), see cells_of.
std::vector<Cell> swept(std::size_t from, std::size_t to, const CellScenario& scenario_of,
                        const SweepRequest& request, const estimate::Options& options,
                        const CellProgress& progress);

/// Where a curve of chances crosses a risk.
struct Crossing {
  double value = 0.0;        ///< within the risk, close to where it is crossed
  bool within_below = true;  ///< smaller values are within the risk
};

/// Between every two neighbours on either side of the risk, by halving with fresh estimates to
/// 1/4096 of their distance; in the order of the values. The value is one that was within the risk.
std::vector<Crossing> find_crossings(const std::vector<double>& values,
                                     const std::vector<Cell>& points, double risk,
                                     const std::function<double(double value)>& chance_at);

}  // namespace blendrisk::decide
