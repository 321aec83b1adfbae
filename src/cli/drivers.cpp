#include "decide/drivers.hpp"
#include "answer/run_figures.hpp"
#include "cli/answering.hpp"

namespace blendrisk::cli {
namespace {

decide::Drivers drivers(const Call& call, const scenario::Scenario& scenario) {
  const answer::UnitSystem units = call.arguments.units;
  return decide::find_drivers(scenario, call.arguments.options, answer::dispenser_step(units),
                              answer::gauge_step(units));
}

answer::Figure figure_of_drivers(const Call& /*call*/, const scenario::Scenario& scenario,
                                 const decide::Drivers& result) {
  return answer::drivers_figure(scenario, result);
}

}  // namespace

extern const Command k_drivers{
    .name = "drivers",
    .question = "which uncertainty matters, and what would knowing it be worth in margin?",
    .about =
        R"(Which uncertainty matters, and what knowing it would be worth: for every uncertain input that the
landing depends on, the safe amount and the highest reading if it were known exactly, at its mean;
the margin that saves; and the share of the landed content's variance that comes from it, alone and
in all (first-order and total Sobol' indices).
)",
    .options = "json seed threads precision cases method units output",
    .answer = answered<drivers, k_always_met, figure_of_drivers>,
    .output = ".svg .png .pdf"};

}  // namespace blendrisk::cli
