#include "ask/rail_pictures.hpp"

#include "line/line_bands.hpp"

namespace blendrisk::ask {
namespace {

/// figure(scenario, result, grid, bands, times, units) at burned volumes.
template <class DrawFigure>
answer::Figure drawn_over(const std::vector<double>& grid, const scenario::Scenario& scenario,
                          const decide::ArriveResult& result, const estimate::Options& options,
                          answer::UnitSystem units, const DrawFigure& figure) {
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  const line::Line line(inputs);
  std::vector<double> times_s;
  if (line.has_rates()) {
    const line::LineCase typical = line.typical();
    for (const double burn_l : grid) {
      times_s.push_back(
          typical.time_once_passed(typical.passed({line::Moment::By::burned, burn_l})));
    }
  }
  const answer::RailBands bands{line::rail_band(line, grid, options),
                                line::shown_band(line, grid, options)};
  return figure(scenario, result, grid, bands, times_s, units);
}

}  // namespace

answer::Figure rail_picture(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                            const estimate::Options& options, answer::UnitSystem units) {
  return drawn_over(answer::rail_grid(result), scenario, result, options, units,
                    answer::rail_figure);
}

answer::Figure waiting_picture(const scenario::Scenario& scenario,
                               const decide::ArriveResult& result, const estimate::Options& options,
                               answer::UnitSystem units) {
  if (result.waiting.rows.empty()) return rail_picture(scenario, result, options, units);
  return drawn_over(answer::waiting_grid(result), scenario, result, options, units,
                    answer::waiting_figure);
}

}  // namespace blendrisk::ask
