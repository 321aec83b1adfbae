#include "decide/heel.hpp"
#include "cli/answering.hpp"

namespace blendrisk::cli {
namespace {

decide::HeelResult heel_window(const Call& call, const scenario::Scenario& scenario) {
  return decide::solve_heel(scenario, call.arguments.options,
                            answer::gauge_step(call.arguments.units));
}

}  // namespace

extern const Command k_heel{
    .name = "heel",
    .question = "how empty must the tank be first?",
    .about =
        R"(The highest reading from which filling until the nozzle clicks off (or as written, where there are
several fills) keeps the chance of landing outside the limits within limits.accepted-risk; the
lowest that keeps the chance of running dry within limits.dry-risk; the window between, or why
there is none and what would do.
)",
    .options = "json seed threads precision units require",
    .answer = answered<heel_window, &decide::HeelResult::window>};

}  // namespace blendrisk::cli
