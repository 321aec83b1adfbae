#include <benchmark/benchmark.h>

#include <fstream>
#include <sstream>

#include "decide/sweep.hpp"
#include "scenario/read.hpp"
#include "tank/chance.hpp"
#include "tank/crude_monte_carlo.hpp"

// The benchmark problem, from a parsed scenario to a chance with its interval.
namespace {

using namespace blendrisk;

scenario::Scenario problem() {
  std::ifstream file("examples/benchmark.ini");
  std::stringstream text;
  text << file.rdbuf();
  return scenario::read({"examples/benchmark.ini", text.str()}, {},
                        [](const std::string&) { return std::string(); });
}

// The seed changes every time, so that no lucky one is measured; the worst relative standard error
// is reported beside the time.
void seconds_to_1_percent(benchmark::State& state) {
  const scenario::Scenario scenario = problem();
  const double limit = static_cast<double>(state.range(0)) / 100.0;
  estimate::Options options;
  options.threads = 1;
  double worst = 0.0;
  for (auto _ : state) {
    const auto result = tank::estimate_side(scenario, {estimate::Side::below, limit}, options);
    worst = std::max(worst, result.estimate.standard_error / result.estimate.chance);
    ++options.seed;
  }
  state.counters["worst_relative_error"] = worst;
}
BENCHMARK(seconds_to_1_percent)->Arg(70)->Arg(68)->Arg(66)->Arg(60)->Unit(benchmark::kMicrosecond);

void crude_cases(benchmark::State& state) {
  const scenario::Scenario scenario = problem();
  const sampling::CaseInputs inputs(scenario);
  constexpr std::uint64_t k_cases = 1U << 25U;
  std::uint64_t seed = 1;
  for (auto _ : state) {
    benchmark::DoNotOptimize(
        tank::count_cases(inputs, k_cases, seed++, 0, static_cast<unsigned>(state.range(0)), {}));
  }
  state.SetItemsProcessed(static_cast<std::int64_t>(k_cases) * state.iterations());
}
BENCHMARK(crude_cases)->Arg(1)->Arg(2)->UseRealTime()->Unit(benchmark::kMillisecond);

void whole_answer(benchmark::State& state) {
  const scenario::Scenario scenario = problem();
  estimate::Options options;
  options.threads = 1;
  for (auto _ : state) benchmark::DoNotOptimize(tank::estimate_chance(scenario, options));
}
BENCHMARK(whole_answer)->Unit(benchmark::kMicrosecond);

/// A curve of the chance of landing below a hundred limits, from 60 to 74.85 %.
void curve_of_100_limits(benchmark::State& state) {
  const scenario::Scenario scenario = problem();
  estimate::Options options;
  options.threads = static_cast<unsigned>(state.range(0));
  const auto at = [&](std::size_t number) {
    scenario::Scenario one = scenario;
    one.limits.minimum = 0.6 + 0.0015 * static_cast<double>(number);
    return one;
  };
  for (auto _ : state) {
    benchmark::DoNotOptimize(decide::swept(0, 100, at, {decide::Show::chance}, options, {}));
    ++options.seed;
  }
}
BENCHMARK(curve_of_100_limits)->Arg(1)->Arg(2)->UseRealTime()->Unit(benchmark::kMicrosecond);

}  // namespace
