#include "decide/arrive.hpp"

#include "answer/run_figures.hpp"
#include "cli/answering.hpp"
#include "cli/rail_picture.hpp"

namespace blendrisk::cli {

answer::Figure rail_picture(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                            const Arguments& arguments) {
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  const line::Line line(inputs);
  const std::vector<double> grid = answer::rail_grid(result);
  std::vector<double> times_s;
  if (line.has_rates()) {
    const line::LineCase typical = line.typical();
    for (const double burn_l : grid) {
      times_s.push_back(
          typical.time_once_passed(typical.passed({line::Moment::By::burned, burn_l})));
    }
  }
  return answer::rail_figure(scenario, result, grid, line::rail_band(line, grid, arguments.options),
                             line::shown_median(line, grid, arguments.options), times_s,
                             arguments.units);
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
        return rail_picture(scenario, result, arguments);
      });
}

}  // namespace

extern const Command k_arrive{
    .name = "arrive",
    .question = "how much fuel and time until the injectors get it, and what reading to wait for?",
    .about =
        R"(The reading of the content sensor to wait for before the calibration is switched, with its guard
band against the sensor's error; without a sensor, how much fuel to burn first; how much fuel and
time until the injectors get fuel within the limit, and the chance that they do not yet after
burning so much, or never. Uses [line], [engine] and [sensor] beside the rest of the scenario.
)",
    .options = "json seed threads precision cases method units output require",
    .answer = answer_arrive,
    .output = ".svg .png .pdf"};

}  // namespace blendrisk::cli
