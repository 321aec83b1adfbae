#include "decide/heel.hpp"

#include <chrono>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/scenario_file.hpp"
#include "report/heel_text.hpp"

namespace blendrisk::cli {

Answer answer_heel(const Arguments& arguments, std::ostream& /*err*/) {
  const auto start = std::chrono::steady_clock::now();
  const scenario::Scenario scenario = read_scenario(arguments);
  const decide::HeelResult result = answered(arguments, [&] {
    return decide::solve_heel(scenario, arguments.options, report::gauge_step(arguments.units));
  });
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  Answer answer;
  answer.text = arguments.json
                    ? report::heel_json(scenario, result, arguments.options, elapsed.count())
                    : report::heel_text(scenario, result, arguments.options, arguments.units);
  if (arguments.require && !result.window) answer.status = k_risk_not_met;
  return answer;
}

}  // namespace blendrisk::cli
