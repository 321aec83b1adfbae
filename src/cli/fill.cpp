#include "decide/fill.hpp"

#include <chrono>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/scenario_file.hpp"
#include "report/fill_text.hpp"

namespace blendrisk::cli {

Answer answer_fill(const Arguments& arguments, std::ostream& /*err*/) {
  const auto start = std::chrono::steady_clock::now();
  const scenario::Scenario scenario = read_scenario(arguments);
  const decide::FillResult result = answered(arguments, [&] {
    return decide::solve_fill(scenario, arguments.options, report::dispenser_step(arguments.units),
                              report::gauge_step(arguments.units));
  });
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  Answer answer;
  answer.text = arguments.json
                    ? report::fill_json(scenario, result, arguments.options, elapsed.count())
                    : report::fill_text(scenario, result, arguments.options, arguments.units);
  if (arguments.require && !result.safe_amount_l) answer.status = k_risk_not_met;
  return answer;
}

}  // namespace blendrisk::cli
