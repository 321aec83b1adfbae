#include <chrono>
#include <ostream>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/output.hpp"
#include "cli/scenario_file.hpp"
#include "estimate/chance.hpp"
#include "estimate/profile.hpp"
#include "report/chance_json.hpp"
#include "report/chance_text.hpp"
#include "report/run_figures.hpp"

namespace blendrisk::cli {

Answer answer_chance(const Arguments& arguments, std::ostream& err) {
  const auto start = std::chrono::steady_clock::now();
  const scenario::Scenario scenario = read_scenario(arguments);
  const estimate::ChanceResult result = answered(arguments, [&] {
    ProgressLine line(err);
    return estimate::estimate_chance(
        scenario, arguments.options,
        [&](std::uint64_t done, std::uint64_t expected) { line.show(done, expected); });
  });
  if (const auto format = picture_format(arguments.output)) {
    const sampling::CaseInputs inputs(scenario);
    const auto [low, high] = report::landed_range(scenario, result.landed);
    const auto profile = estimate::landed_profile(inputs, arguments.options.seed, low, high, 240);
    write_picture(arguments.output, report::landed_figure(scenario, result, profile), *format);
  }
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  Answer answer;
  answer.text = arguments.json
                    ? report::chance_json(scenario, result, arguments.options, elapsed.count())
                    : report::chance_text(scenario, result, arguments.options, arguments.units);
  if (arguments.require && !result.met) answer.status = k_risk_not_met;
  return answer;
}

}  // namespace blendrisk::cli
