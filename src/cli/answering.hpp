#pragma once

#include <chrono>
#include <functional>

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

/// @param things  "cells"   @throws Error where there are more
inline void require_at_most(const Call& call, std::size_t most, const char* things,
                            std::size_t count) {
  if (count <= most) return;
  throw Error(std::string(call.command.name) + ": there are more than " + std::to_string(most) +
              " " + things + "; fewer are accepted");
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

/// Writes to --output, where it is given: figure() where that names a picture, else data().
template <class Draw, class Data>
void write_figure_or_data(const Arguments& arguments, const Draw& figure, const Data& data) {
  if (const auto format = picture_format(arguments.output)) {
    write_picture(arguments.output, figure(), *format);
  } else if (!arguments.output.empty()) {
    write_output(arguments.output, data());
  }
}

/// Of a command without --require.
inline constexpr auto k_always_met = [](const auto&) { return true; };
/// Of a command whose --output is no picture.
inline constexpr auto k_no_figure = [](const Call&, const scenario::Scenario&, const auto&) {
  return answer::Figure{};
};
/// Of a command whose --output is no data.
inline constexpr auto k_no_data = [](const auto&) { return std::string(); };

/// The command that tells what solve(call, scenario) gives for the scenario of its call, and draws
/// figure(call, scenario, result) where a picture is wanted, or writes data(result).
/// @param met  of the result: true, or there, where it meets the accepted risk
template <auto solve, auto met = k_always_met, auto figure = k_no_figure, auto data = k_no_data>
Answer answered(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  const scenario::Scenario scenario = read_scenario(arguments);
  const auto result = computed({arguments.scenario_path}, [&] { return solve(call, scenario); });
  write_figure_or_data(
      arguments, [&] { return figure(call, scenario, result); }, [&] { return data(result); });
  return {told(arguments, scenario, result, watch.seconds()),
          judged(arguments, static_cast<bool>(std::invoke(met, result)))};
}

}  // namespace blendrisk::cli
