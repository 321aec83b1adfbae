#include "answer/learn.hpp"
#include "cli/answering.hpp"
#include "cli/learn_log.hpp"
#include "learn/changeover.hpp"
#include "render/text.hpp"

namespace blendrisk::cli {
namespace {

Answer answer_learn(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  if (arguments.log.empty() == arguments.changeover.empty()) {
    throw Error(
        "learn: one log is wanted; --log FILE.csv of fills or tests, or --changeover FILE.csv with "
        "a scenario, is accepted");
  }
  if (!arguments.log.empty()) return answer_learn_log(call);
  if (arguments.scenario_path.empty()) {
    throw Error(
        "learn: --changeover needs the car's scenario; `blendrisk learn --changeover FILE.csv "
        "SCENARIO.ini` is accepted");
  }
  const std::string& path = arguments.changeover;
  const scenario::Scenario scenario = read_scenario(arguments);
  const auto log = learn::read_changeover_log(path, csv_log_text(path), arguments.started);
  try {
    const learn::ChangeoverFit fit = learn::fit_changeover(log, scenario);
    return {arguments.json ? answer::closed(answer::members(fit, path, watch.seconds()))
                           : render::scenario_text(answer::learned(fit, path))};
  } catch (const learn::UntellingLog& error) {
    const bool no_line = error.why == learn::UntellingLog::Why::no_rate;
    throw Error(answer::reason(error), {}, {path, no_line ? 0 : log.lines.back()});
  }
}

void refuse_what_does_nothing(const Arguments& arguments) {
  if (arguments.log.empty() || !arguments.scenario_path.empty()) return;
  if (!arguments.overrides.empty()) {
    throw Error("--" + arguments.overrides.front().key +
                ": does nothing without a scenario; `blendrisk learn --log FILE.csv SCENARIO.ini` "
                "heeds it");
  }
  if (!arguments.car.empty()) {
    throw Error(
        "--car: does nothing without a scenario, since the pump alone is learnt about; `blendrisk "
        "learn --log FILE.csv SCENARIO.ini` heeds it");
  }
}

}  // namespace

extern const Command k_learn{
    .name = "learn",
    .question = "a shop's log or a logged changeover in, lines of a scenario out",
    .usage =
        "--log LOG.csv [SCENARIO.ini] [--where COLUMN=VALUE] [--section.key VALUE ...] [options]\n"
        "--changeover FILE.csv SCENARIO.ini [--section.key VALUE ...] [--json]",
    .about =
        R"(Lines of a scenario from logs. A shop's log (columns as for verify) gives the law of the pump's
next delivery, of the sensor's bias and noise against tests of the tank, and of the gauge's error with
the volume at click-off, each from as many rows as the log has of it. A log of pump tests alone
(content_percent, with date and pump where known) takes no scenario. A logged changeover (time_s since
the new fuel was drawn, or clock, reading_percent, and where logged fuel_rate_l_per_h) gives the
volumes of the line that the scenario names, with standard errors, and the idle rate. What a log cannot
tell is said and not guessed. Everything but the lines themselves is a comment, so that the answer can
be pasted whole.
  blendrisk learn --log log.csv car.ini --pump north --where season=winter
)",
    .options = "json log where group pump car on same-delivery changeover started",
    .answer = answer_learn,
    .scenarios = Scenarios::perhaps,
    .refuse = refuse_what_does_nothing};

}  // namespace blendrisk::cli
