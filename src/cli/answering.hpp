#pragma once

#include <chrono>
#include <functional>

#include "cli/command.hpp"
#include "cli/files.hpp"
#include "cli/gnuplot.hpp"
#include "cli/interrupt.hpp"
#include "cli/scenario_file.hpp"
#include "cli/told.hpp"
#include "estimate/result.hpp"
#include "text/quoting.hpp"

/// The one way from a call to an answer about a scenario.
namespace blendrisk::cli {

class Stopwatch {
 public:
  double seconds() const {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
  }

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

/// compute(), an impossible scenario told as bad input of the file.
template <class Compute>
auto computed(const Arguments& arguments, const Compute& compute) {
  try {
    return compute();
  } catch (const estimate::ImpossibleScenario& error) {
    throw scenario::InputError(text::escaped(arguments.scenario_path) + ": " + error.what());
  }
}

/// compute(progress) with the progress of the computation shown, until an interrupt.
/// @param points  what is counted, "cells"
/// @param where  goes before what is said of an impossible scenario
/// @throws std::runtime_error where it was interrupted
template <class Compute>
auto swept(std::ostream& err, const char* points, const std::string& where,
           const Compute& compute) {
  const InterruptGuard guard;
  ProgressLine line(err);
  try {
    auto result = compute([&](std::size_t done, std::size_t all) {
      line.show(done, all, points);
      return !InterruptGuard::interrupted();
    });
    InterruptGuard::check();
    return result;
  } catch (const estimate::ImpossibleScenario& error) {
    throw scenario::InputError(where + error.what());
  }
}

/// The status of an answer, by --require.
inline int judged(const Arguments& arguments, bool met) {
  return arguments.require && !met ? k_risk_not_met : k_answered;
}

/// What a command asks of one scenario, and how the result is told.
template <class Result>
struct Question {
  std::function<Result(const scenario::Scenario&)> solve;
  bool (*met)(const Result&) = nullptr;  ///< of a command with --require
  /// Of a command whose --output is a picture.
  std::function<answer::Figure(const scenario::Scenario&, const Result&)> figure = nullptr;
};

template <class Result>
Answer answered(const Arguments& arguments, const Question<Result>& question) {
  const Stopwatch watch;
  const scenario::Scenario scenario = read_scenario(arguments);
  const Result result = computed(arguments, [&] { return question.solve(scenario); });
  if (const auto format = picture_format(arguments.output)) {
    write_picture(arguments.output, question.figure(scenario, result), *format);
  }
  return {told(arguments, scenario, result, watch.seconds()),
          judged(arguments, question.met == nullptr || question.met(result))};
}

}  // namespace blendrisk::cli
