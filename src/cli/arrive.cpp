#include "decide/arrive.hpp"

#include "ask/rail_pictures.hpp"
#include "cli/answering.hpp"
#include "render/csv.hpp"

namespace blendrisk::cli {
namespace {

decide::ArriveResult arrival(const Call& call, const scenario::Scenario& scenario) {
  return decide::solve_arrive(scenario, call.arguments.options,
                              answer::burn_step(call.arguments.units));
}

answer::Figure arrival_figure(const Call& call, const scenario::Scenario& scenario,
                              const decide::ArriveResult& result) {
  return ask::waiting_picture(scenario, result, call.arguments.options, call.arguments.units);
}

}  // namespace

extern const Command k_arrive{
    .name = "arrive",
    .question = "how much fuel and time until the injectors get it, and what reading to wait for?",
    .about =
        R"(A table of what the content sensor has to show once so much has been burned before the calibration
is switched, and the one reading that does whenever it shows, with its guard band against the
sensor's error; without a sensor, how much fuel to burn first; how much fuel and time until the
injectors get fuel within the limit, and the chance that they do not yet after burning so much, or
never. Uses [line], [engine] and [sensor] beside the rest of the scenario. --output draws the table
with what the sensor will show, or writes it as data (.csv).
)",
    .options = "json seed threads precision cases method units output require",
    .answer = answered<arrival, &decide::ArriveResult::met, arrival_figure, render::waiting_csv>,
    .output = ".csv .svg .png .pdf"};

}  // namespace blendrisk::cli
