#pragma once

#include <chrono>

#include "answer/answers.hpp"
#include "answer/reasons.hpp"
#include "cli/command.hpp"
#include "cli/files.hpp"
#include "cli/gnuplot.hpp"
#include "cli/interrupt.hpp"
#include "cli/scenario_file.hpp"
#include "estimate/result.hpp"
#include "render/text.hpp"

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

/// compute(), an impossible scenario told as bad input of `place`, after `before`.
template <class Compute>
auto computed(const text::Place& place, const Compute& compute, const std::string& before = {}) {
  try {
    return compute();
  } catch (const estimate::ImpossibleScenario& error) {
    throw Error(before + answer::reason(error), {}, place);
  }
}

/// compute(progress) with the progress of the computation shown, until an interrupt.
/// @param points  what is counted, "cells"   @param before  as in computed, "in a cell, "
/// @throws Error where it was interrupted
template <class Compute>
auto swept(const Call& call, const char* points, const std::string& before,
           const Compute& compute) {
  const InterruptGuard guard;
  ProgressLine line(call.err);
  auto result = computed(
      {call.command.name},
      [&] {
        return compute([&](std::size_t done, std::size_t all) {
          line.show(done, all, points);
          return !InterruptGuard::interrupted();
        });
      },
      before);
  InterruptGuard::check();
  return result;
}

/// The answer as it was asked for: for people, or as JSON.
template <class Result>
std::string told(const Arguments& arguments, const scenario::Scenario& scenario,
                 const Result& result, double elapsed_s) {
  const answer::Asked asked{scenario, arguments.options, arguments.units, elapsed_s};
  if (arguments.json) return answer::closed(members(asked, result));
  if constexpr (requires { carried(asked, result); }) {
    if (arguments.lines) return render::scenario_text(carried(asked, result));
  }
  return render::text(described(asked, result), arguments.units);
}

/// The status of an answer, by --require.
inline int judged(const Arguments& arguments, bool met) {
  return arguments.require && !met ? k_risk_not_met : k_answered;
}

/// Whether a result that says so meets the accepted risk.
inline constexpr auto k_met = [](const auto& result) { return result.met; };
/// Of a command without --require.
inline constexpr auto k_always_met = [](const auto&) { return true; };
/// Of a command whose --output is no picture.
inline constexpr auto k_no_figure = [](const scenario::Scenario&, const auto&) {
  return answer::Figure{};
};

/// Of a command whose --output is no data.
inline constexpr auto k_no_data = [](const auto&) { return std::string(); };

/// Tells the result that solve(scenario) gives of the scenario of a call, and draws
/// figure(scenario, result) where a picture is wanted, or writes data(result).
/// @param met  says of the result whether it meets the accepted risk
template <class Solve, class Met = decltype(k_always_met), class Draw = decltype(k_no_figure),
          class Data = decltype(k_no_data)>
Answer answered(const Arguments& arguments, const Solve& solve, const Met& met = k_always_met,
                const Draw& figure = k_no_figure, const Data& data = k_no_data) {
  const Stopwatch watch;
  const scenario::Scenario scenario = read_scenario(arguments);
  const auto result = computed({arguments.scenario_path}, [&] { return solve(scenario); });
  if (const auto format = picture_format(arguments.output)) {
    write_picture(arguments.output, figure(scenario, result), *format);
  } else if (!arguments.output.empty()) {
    write_output(arguments.output, data(result));
  }
  return {told(arguments, scenario, result, watch.seconds()), judged(arguments, met(result))};
}

}  // namespace blendrisk::cli
