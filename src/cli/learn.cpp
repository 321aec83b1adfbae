#include <chrono>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/files.hpp"
#include "cli/scenario_file.hpp"
#include "learn/changeover.hpp"
#include "learn/pump_tests.hpp"
#include "report/learn_text.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_largest_log = 256'000'000;

std::string log_text(const std::string& path) {
  std::string text;
  try {
    text = read_bytes(path, k_largest_log);
  } catch (const FileError& error) {
    throw scenario::InputError(scenario::escaped(path) + ": " + error.what() +
                               "; a CSV file is accepted");
  }
  if (text.size() > k_largest_log) {
    throw scenario::InputError(scenario::escaped(path) +
                               ": is larger than 256 MB; a shorter log is accepted");
  }
  return text;
}

}  // namespace

Answer answer_learn(const Arguments& arguments, std::ostream& /*err*/) {
  const auto start = std::chrono::steady_clock::now();
  const auto elapsed = [start] {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  };
  const bool tests = !arguments.pump_tests.empty();
  if (tests == !arguments.changeover.empty()) {
    throw UsageError(
        "learn: one log is wanted; --pump-tests FILE.csv, or --changeover FILE.csv with a "
        "scenario, "
        "is accepted");
  }
  if (tests) {
    if (!arguments.scenario_path.empty()) {
      throw UsageError("learn: --pump-tests takes no scenario; the log alone is accepted");
    }
    const std::string& path = arguments.pump_tests;
    const auto learned = learn::read_pump_tests(path, log_text(path), arguments.group);
    return {arguments.json ? report::pump_tests_json(learned, path, elapsed())
                           : report::pump_tests_text(learned, path),
            k_answered};
  }
  if (arguments.scenario_path.empty()) {
    throw UsageError(
        "learn: --changeover needs the car's scenario; `blendrisk learn --changeover FILE.csv "
        "SCENARIO.ini` is accepted");
  }
  const std::string& path = arguments.changeover;
  const scenario::Scenario scenario = read_scenario(arguments);
  const auto log = learn::read_changeover_log(path, log_text(path));
  const learn::ChangeoverFit fit = learn::fit_changeover(log, scenario);
  return {arguments.json ? report::changeover_json(fit, path, elapsed())
                         : report::changeover_text(fit, path),
          k_answered};
}

}  // namespace blendrisk::cli
