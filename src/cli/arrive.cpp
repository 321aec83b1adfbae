#include "decide/arrive.hpp"

#include <chrono>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/output.hpp"
#include "cli/rail_picture.hpp"
#include "cli/scenario_file.hpp"
#include "report/arrive_text.hpp"
#include "report/run_figures.hpp"

namespace blendrisk::cli {

report::Figure rail_picture(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                            const Arguments& arguments) {
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  const estimate::Line line(inputs);
  const std::vector<double> grid = report::rail_grid(result);
  std::vector<double> times_s;
  if (line.has_rates()) {
    const estimate::LineCase typical = line.typical();
    for (const double burn_l : grid) {
      times_s.push_back(
          typical.time_once_passed(typical.passed({estimate::Moment::By::burned, burn_l})));
    }
  }
  return report::rail_figure(
      scenario, result, grid, estimate::rail_band(line, grid, arguments.options),
      estimate::shown_median(line, grid, arguments.options), times_s, arguments.units);
}

Answer answer_arrive(const Arguments& arguments, std::ostream& /*err*/) {
  const auto start = std::chrono::steady_clock::now();
  const scenario::Scenario scenario = read_scenario(arguments);
  const decide::ArriveResult result = answered(arguments, [&] {
    return decide::solve_arrive(scenario, arguments.options, report::burn_step(arguments.units));
  });
  if (const auto format = picture_format(arguments.output)) {
    write_picture(arguments.output, rail_picture(scenario, result, arguments), *format);
  }
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  Answer answer;
  answer.text = arguments.json
                    ? report::arrive_json(scenario, result, arguments.options, elapsed.count())
                    : report::arrive_text(scenario, result, arguments.options, arguments.units);
  if (arguments.require && !result.met) answer.status = k_risk_not_met;
  return answer;
}

}  // namespace blendrisk::cli
