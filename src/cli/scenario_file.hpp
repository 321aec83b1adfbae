#pragma once

#include <chrono>
#include <cstdint>
#include <iosfwd>

#include "cli/options.hpp"
#include "estimate/result.hpp"
#include "scenario/quoting.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::cli {

/// A scenario file, read once and made into scenarios with any overrides.
class ScenarioFile {
 public:
  /// @throws scenario::InputError where it cannot be read
  explicit ScenarioFile(const std::string& path);

  const std::string& text() const { return text_; }

  /// With its data files and the keys given beside it. @throws scenario::InputError
  scenario::Scenario read(const std::vector<scenario::Override>& overrides) const;

 private:
  std::string path_, text_;
};

/// The scenario that the arguments name, with the keys given beside it.
/// @throws scenario::InputError
scenario::Scenario read_scenario(const Arguments& arguments);

/// compute(), an impossible scenario told as bad input of the file.
template <class Compute>
auto answered(const Arguments& arguments, const Compute& compute) {
  try {
    return compute();
  } catch (const estimate::ImpossibleScenario& error) {
    throw scenario::InputError(scenario::escaped(arguments.scenario_path) + ": " + error.what());
  }
}

/// Shows a bar of the share done on one line, and takes the line away in the end. Silent for the
/// first second and where standard error is no terminal.
class ProgressLine {
 public:
  explicit ProgressLine(std::ostream& err);
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ~ProgressLine();

  /// @param what is counted, "evaluations"
  void show(std::uint64_t done, std::uint64_t expected, const char* what = "evaluations");

 private:
  std::ostream& err_;
  bool wanted_;
  bool shown_ = false;
  std::chrono::steady_clock::time_point next_ =
      std::chrono::steady_clock::now() + std::chrono::seconds(1);
};

}  // namespace blendrisk::cli
