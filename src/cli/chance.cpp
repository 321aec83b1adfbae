#include <unistd.h>

#include <chrono>
#include <iostream>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/files.hpp"
#include "estimate/chance.hpp"
#include "report/chance_json.hpp"
#include "report/chance_text.hpp"
#include "scenario/ini.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_largest_data = 64'000'000;

scenario::Scenario read_scenario(const Arguments& arguments) {
  const std::string& path = arguments.scenario_path;
  scenario::Source source{path, {}};
  try {
    source.text = read_bytes(path, scenario::k_largest_text);
  } catch (const FileError& error) {
    throw scenario::InputError(scenario::escaped(path) + ": " + error.what() +
                               "; a scenario file is accepted");
  }
  const auto read_data = [&](const std::string& data_path) {
    const std::string shown = scenario::escaped(data_path);
    try {
      std::string text =
          read_bytes(path_beside(arguments.scenario_path, data_path), k_largest_data);
      if (text.size() > k_largest_data) throw FileError("is larger than 64 MB");
      return text;
    } catch (const FileError& error) {
      throw FileError(shown + ": " + error.what() + "; a CSV file is accepted");
    }
  };
  return scenario::read(source, arguments.overrides, read_data);
}

/// Shows the share done on one line, and takes the line away in the end. Silent for the first
/// second and where standard error is no terminal.
class ProgressLine {
 public:
  explicit ProgressLine(std::ostream& err)
      : err_(err), wanted_(&err == &std::cerr && isatty(STDERR_FILENO) == 1) {}
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ~ProgressLine() {
    if (shown_) err_ << "\r\x1b[K" << std::flush;
  }

  void show(std::uint64_t done, std::uint64_t expected) {
    const auto now = std::chrono::steady_clock::now();
    if (!wanted_ || now < next_) return;
    next_ = now + std::chrono::milliseconds(200);
    shown_ = true;
    err_ << "\r\x1b[K" << done << " evaluations";
    if (expected > done) err_ << " of about " << expected;
    err_ << std::flush;
  }

 private:
  std::ostream& err_;
  bool wanted_;
  bool shown_ = false;
  std::chrono::steady_clock::time_point next_ =
      std::chrono::steady_clock::now() + std::chrono::seconds(1);
};

estimate::ChanceResult estimate_with_progress(const scenario::Scenario& scenario,
                                              const Arguments& arguments, std::ostream& err) {
  ProgressLine line(err);
  try {
    return estimate::estimate_chance(
        scenario, arguments.options,
        [&](std::uint64_t done, std::uint64_t expected) { line.show(done, expected); });
  } catch (const estimate::ImpossibleScenario& error) {
    throw scenario::InputError(scenario::escaped(arguments.scenario_path) + ": " + error.what());
  }
}

}  // namespace

Answer answer_chance(const Arguments& arguments, std::ostream& err) {
  const auto start = std::chrono::steady_clock::now();
  const scenario::Scenario scenario = read_scenario(arguments);
  const estimate::ChanceResult result = estimate_with_progress(scenario, arguments, err);
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  Answer answer;
  answer.text = arguments.json
                    ? report::chance_json(scenario, result, arguments.options, elapsed.count())
                    : report::chance_text(scenario, result, arguments.options, arguments.units);
  if (arguments.require && !result.met) answer.status = k_risk_not_met;
  return answer;
}

}  // namespace blendrisk::cli
