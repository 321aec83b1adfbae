#include "decide/heel.hpp"
#include "cli/answering.hpp"

namespace blendrisk::cli {
namespace {

Answer answer_heel(const Call& call) {
  const Arguments& arguments = call.arguments;
  return answered(
      arguments,
      [&](const scenario::Scenario& scenario) {
        return decide::solve_heel(scenario, arguments.options, answer::gauge_step(arguments.units));
      },
      [](const auto& result) { return result.window.has_value(); });
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
    .answer = answer_heel};

}  // namespace blendrisk::cli
