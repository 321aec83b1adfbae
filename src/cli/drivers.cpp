#include "decide/drivers.hpp"

#include <chrono>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/output.hpp"
#include "cli/scenario_file.hpp"
#include "report/drivers_text.hpp"

namespace blendrisk::cli {

Answer answer_drivers(const Arguments& arguments, std::ostream& /*err*/) {
  const auto start = std::chrono::steady_clock::now();
  const scenario::Scenario scenario = read_scenario(arguments);
  const decide::Drivers result = answered(arguments, [&] {
    return decide::find_drivers(scenario, arguments.options,
                                report::dispenser_step(arguments.units),
                                report::gauge_step(arguments.units));
  });
  if (const auto format = picture_format(arguments.output)) {
    write_picture(arguments.output, report::drivers_figure(scenario, result), *format);
  }
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  Answer answer;
  answer.text = arguments.json
                    ? report::drivers_json(scenario, result, arguments.options, elapsed.count())
                    : report::drivers_text(scenario, result, arguments.options, arguments.units);
  return answer;
}

}  // namespace blendrisk::cli
