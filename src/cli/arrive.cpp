#include "decide/arrive.hpp"

#include "answer/run_figures.hpp"
#include "cli/answering.hpp"
#include "cli/rail_picture.hpp"
#include "render/csv.hpp"

namespace blendrisk::cli {

namespace {

/// figure(scenario, result, grid, bands, times, units) at burned volumes.
template <class DrawFigure>
answer::Figure drawn_over(const std::vector<double>& grid, const scenario::Scenario& scenario,
                          const decide::ArriveResult& result, const Arguments& arguments,
                          const DrawFigure& figure) {
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
  const answer::RailBands bands{line::rail_band(line, grid, arguments.options),
                                line::shown_band(line, grid, arguments.options)};
  return figure(scenario, result, grid, bands, times_s, arguments.units);
}

}  // namespace

answer::Figure rail_picture(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                            const Arguments& arguments) {
  return drawn_over(answer::rail_grid(result), scenario, result, arguments, answer::rail_figure);
}

answer::Figure waiting_picture(const scenario::Scenario& scenario,
                               const decide::ArriveResult& result, const Arguments& arguments) {
  if (result.waiting.rows.empty()) return rail_picture(scenario, result, arguments);
  return drawn_over(answer::waiting_grid(result), scenario, result, arguments,
                    answer::waiting_figure);
}

namespace {

Answer answer_arrive(const Call& call) {
  const Arguments& arguments = call.arguments;
  return answered(
      arguments,
      [&](const scenario::Scenario& scenario) {
        return decide::solve_arrive(scenario, arguments.options,
                                    answer::burn_step(arguments.units));
      },
      k_met,
      [&](const scenario::Scenario& scenario, const decide::ArriveResult& result) {
        return waiting_picture(scenario, result, arguments);
      },
      [](const decide::ArriveResult& result) { return render::waiting_csv(result); });
}

}  // namespace

extern const Command k_arrive{
    .name = "arrive",
    .question = "how much fuel and time until the injectors get it, and what reading to wait for?",
    .about =
        R"(A table of what the content sensor has to show once so much has been burned before the calibration
is switched, and the one reading that does whenever it shows, with its guard band against the
sensor's error; without a sensor, how much fuel to burn first; how much fuel and time until the
injectors get fuel within the limit, and the chance that they do not yet after burning so much, or
never. Uses [line], [engine] and [sensor] beside the rest of the scenario. --output draws the table
with what the sensor will show, or writes it as data (.csv).
)",
    .options = "json seed threads precision cases method units output require",
    .answer = answer_arrive,
    .output = ".csv .svg .png .pdf"};

}  // namespace blendrisk::cli
