#include "decide/heel.hpp"

#include <chrono>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/scenario_file.hpp"
#include "report/heel_text.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::cli {

Answer answer_heel(const Arguments& arguments, std::ostream& /*err*/) {
  const auto start = std::chrono::steady_clock::now();
  const scenario::Scenario scenario = read_scenario(arguments);
  decide::HeelResult result;
  try {
    result = decide::solve_heel(scenario, arguments.options, report::gauge_step(arguments.units));
  } catch (const estimate::ImpossibleScenario& error) {
    throw scenario::InputError(scenario::escaped(arguments.scenario_path) + ": " + error.what());
  }
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  Answer answer;
  answer.text = arguments.json
                    ? report::heel_json(scenario, result, arguments.options, elapsed.count())
                    : report::heel_text(scenario, result, arguments.options, arguments.units);
  if (arguments.require && !result.window) answer.status = k_risk_not_met;
  return answer;
}

}  // namespace blendrisk::cli
