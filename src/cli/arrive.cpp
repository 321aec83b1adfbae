#include "decide/arrive.hpp"

#include <chrono>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/scenario_file.hpp"
#include "report/arrive_text.hpp"

namespace blendrisk::cli {

Answer answer_arrive(const Arguments& arguments, std::ostream& /*err*/) {
  const auto start = std::chrono::steady_clock::now();
  const scenario::Scenario scenario = read_scenario(arguments);
  const decide::ArriveResult result = answered(arguments, [&] {
    return decide::solve_arrive(scenario, arguments.options, report::burn_step(arguments.units));
  });
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  Answer answer;
  answer.text = arguments.json
                    ? report::arrive_json(scenario, result, arguments.options, elapsed.count())
                    : report::arrive_text(scenario, result, arguments.options, arguments.units);
  if (arguments.require && !result.wait_for.reading && !result.enough.burn_l)
    answer.status = k_risk_not_met;
  return answer;
}

}  // namespace blendrisk::cli
