#include "decide/drivers.hpp"
#include "answer/run_figures.hpp"
#include "cli/answering.hpp"

namespace blendrisk::cli {
namespace {

Answer answer_drivers(const Call& call) {
  const Arguments& arguments = call.arguments;
  return answered(
      arguments,
      [&](const scenario::Scenario& scenario) {
        return decide::find_drivers(scenario, arguments.options,
                                    answer::dispenser_step(arguments.units),
                                    answer::gauge_step(arguments.units));
      },
      k_always_met, answer::drivers_figure);
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
    .answer = answer_drivers,
    .output = ".svg .png .pdf"};

}  // namespace blendrisk::cli
