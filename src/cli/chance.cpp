#include "tank/chance.hpp"
#include "answer/run_figures.hpp"
#include "cli/answering.hpp"
#include "line/carry_over.hpp"
#include "tank/between_fills.hpp"
#include "tank/landed_profile.hpp"

namespace blendrisk::cli {
namespace {

estimate::ChanceResult landing(const Call& call, const scenario::Scenario& scenario) {
  const estimate::Options& options = call.arguments.options;
  ProgressLine line(call.err);
  estimate::ChanceResult result = tank::with_between_fills(scenario, options, [&] {
    return tank::estimate_chance(
        scenario, options,
        [&](std::uint64_t done, std::uint64_t expected) { line.show(done, expected); });
  });
  if (call.arguments.lines) result.carried = line::carried_over(scenario, options);
  return result;
}

answer::Figure landing_figure(const Call& call, const scenario::Scenario& scenario,
                              const estimate::ChanceResult& result) {
  const std::uint64_t seed = call.arguments.options.seed;
  const sampling::CaseInputs inputs(scenario);
  const auto [low, high] = answer::landed_range(scenario, result.landed);
  return answer::landed_figure(scenario, result,
                               tank::landed_profile(inputs, seed, low, high, 240));
}

}  // namespace

extern const Command k_chance{
    .name = "chance",
    .question =
        "filling as written, how likely is it to land below the minimum or above the maximum?",
    .about =
        R"help(Filling as the scenario is written: the content the tank lands at, the chance of landing below
limits.minimum or above limits.maximum, of running dry before the fill, and of the nozzle
clicking off before the amount is in. With --lines, what the tank then holds as lines of a scenario,
for the fill after this one: the way back, say.

Any scenario key can be given as an option and wins over the file; one that excludes another
(--heel.reading for heel.content) takes its place. Quantities carry a unit:
  blendrisk chance car.ini --heel.indicated "6 L" \
    --fuel.content "normal(74 %, 3 %)"
)help",
    .options = "json seed threads precision cases method units output lines require",
    .answer = answered<landing, &estimate::ChanceResult::met, landing_figure>,
    .output = ".svg .png .pdf"};

}  // namespace blendrisk::cli
