#include "answer/learn.hpp"
#include "cli/answering.hpp"
#include "learn/changeover.hpp"
#include "learn/pump_tests.hpp"
#include "render/text.hpp"

namespace blendrisk::cli {
namespace {

std::string read_log(const std::string& path) {
  return log_text(path, "a CSV file", "a shorter log is");
}

Answer answer_learn(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  const bool tests = !arguments.pump_tests.empty();
  if (tests == !arguments.changeover.empty()) {
    throw Error(
        "learn: one log is wanted; --pump-tests FILE.csv, or --changeover FILE.csv with a "
        "scenario, is accepted");
  }
  if (tests) {
    if (!arguments.scenario_path.empty()) {
      throw Error("learn: --pump-tests takes no scenario; the log alone is accepted");
    }
    const std::string& path = arguments.pump_tests;
    const auto learned = learn::read_pump_tests(path, read_log(path), arguments.group);
    return {arguments.json ? answer::closed(answer::members(learned, path, watch.seconds()))
                           : render::scenario_text(answer::learned(learned, path))};
  }
  if (arguments.scenario_path.empty()) {
    throw Error(
        "learn: --changeover needs the car's scenario; `blendrisk learn --changeover FILE.csv "
        "SCENARIO.ini` is accepted");
  }
  const std::string& path = arguments.changeover;
  const scenario::Scenario scenario = read_scenario(arguments);
  const auto log = learn::read_changeover_log(path, read_log(path), arguments.started);
  try {
    const learn::ChangeoverFit fit = learn::fit_changeover(log, scenario);
    return {arguments.json ? answer::closed(answer::members(fit, path, watch.seconds()))
                           : render::scenario_text(answer::learned(fit, path))};
  } catch (const learn::UntellingLog& error) {
    const bool no_line = error.why == learn::UntellingLog::Why::no_rate;
    throw Error(answer::reason(error), {}, {path, no_line ? 0 : log.last_line});
  }
}

void refuse_keys_beside_tests(const Arguments& arguments) {
  if (arguments.pump_tests.empty() || arguments.overrides.empty()) return;
  throw Error("--" + arguments.overrides.front().key +
              ": does nothing beside --pump-tests, which takes no scenario; --changeover "
              "heeds it");
}

}  // namespace

extern const Command k_learn{
    .name = "learn",
    .question = "pump tests or a logged changeover in, lines of a scenario out",
    .usage =
        "--pump-tests FILE.csv [--group COLUMN] [--json]\n"
        "--changeover FILE.csv SCENARIO.ini [--section.key VALUE ...] [--json]",
    .about =
        R"(Lines of a scenario from logs. Pump tests (a column content_percent) give the law of the next
delivery. A logged changeover (time_s since the new fuel was drawn, or clock, reading_percent,
and where logged fuel_rate_l_per_h) gives the volumes of the line that the scenario names, with standard
errors, and the idle rate; what the log cannot tell is said and not guessed. Everything but the
lines themselves is a comment, so that the answer can be pasted whole.
)",
    .options = "json pump-tests group changeover started",
    .answer = answer_learn,
    .scenarios = Scenarios::perhaps,
    .refuse = refuse_keys_beside_tests};

}  // namespace blendrisk::cli
