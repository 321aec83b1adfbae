#include "estimate/measured.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/vector_math.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::CaseInputs;

/// An engine that burns nothing at all never gets anywhere [L/s].
constexpr double k_hardly_burning = 1e-6;

std::array<double, 2> ends_of(const scenario::Scenario& scenario, const scenario::Key& key,
                              const distributions::Distribution& law) {
  const distributions::Steps steps = law.law().steps();
  // What may be given, of volumes no more than the tank takes.
  auto [low, high] = std::array{key.range.low, key.range.high};
  if (key.dimension == units::Dimension::volume && low >= 0.0) high = scenario.tank.capacity_l;
  if (key.dimension == units::Dimension::rate && key.range.open) low = k_hardly_burning;
  return {std::min(std::max(steps.low, low), lowest(law)),
          std::max(std::min(steps.high, high), highest(law))};
}

/// The one that a chance is held against a risk by.
double told_value(const Estimate& estimate) {
  return estimate.upper_bound_only ? estimate.interval[1] : estimate.chance;
}

/// What several measured inputs may add, with its error.
struct Sum {
  double chance = 0.0, variance = 0.0;

  void add(const MeasuredInput& input, const Estimate& told, const Estimate& low,
           const Estimate& high) {
    chance += added(input, told.chance, {low.chance, high.chance});
    const double error = input.share() * (low.chance > high.chance ? low : high).standard_error;
    variance += error * error;
  }
};

}  // namespace

std::vector<MeasuredInput> measured_inputs(const CaseInputs& inputs) {
  std::vector<MeasuredInput> found;
  for (std::size_t slot = 0; slot < inputs.size(); ++slot) {
    const std::size_t values = inputs[slot].law.law().steps().values;
    if (values == 0 || !inputs[slot].uncertain) continue;
    found.push_back({{inputs.key(slot), values},
                     ends_of(inputs.scenario(), *inputs[slot].key, inputs[slot].law)});
  }
  return found;
}

scenario::Scenario at_end(const scenario::Scenario& scenario, const MeasuredInput& input,
                          std::size_t end) {
  const double score = numeric::normal_quantile(0.5 * input.share());
  return scenario::known_at(scenario, input.key, input.ends[end], end == 0 ? score : -score);
}

double added(const MeasuredInput& input, double chance, const std::array<double, 2>& at_ends) {
  const double worse = std::max(at_ends[0], at_ends[1]);
  if (!(worse > chance)) return 0.0;
  // In full from three times the chance on: beyond that it can decide what is told.
  return input.share() * worse * std::min(1.0, 1.5 * (1.0 - chance / worse));
}

Options at_ends(const Options& options) {
  Options few;
  few.seed = options.seed;
  few.threads = options.threads;
  few.cases = std::uint64_t{1} << 13U;
  return few;
}

void lift(const CaseInputs& inputs, std::span<Estimate* const> told, const ChancesAt& at) {
  const std::vector<MeasuredInput> measured = measured_inputs(inputs);
  double most = 0.0;
  for (const MeasuredInput& input : measured) most += input.share();
  const auto is_small = [&](const Estimate* one) { return told_value(*one) < most; };
  if (std::none_of(told.begin(), told.end(), is_small)) return;
  std::vector<Sum> sums(told.size());
  for (const MeasuredInput& input : measured) {
    const std::vector<Estimate> low = at(at_end(inputs.scenario(), input, 0));
    const std::vector<Estimate> high = at(at_end(inputs.scenario(), input, 1));
    for (std::size_t i = 0; i < told.size(); ++i) sums[i].add(input, *told[i], low[i], high[i]);
  }
  for (std::size_t i = 0; i < told.size(); ++i) {
    const double least = std::min(sums[i].chance, 1.0);
    if (!(told_value(*told[i]) < least)) continue;
    *told[i] = {least, std::sqrt(sums[i].variance), {0.0, least}, true, true};
  }
}

}  // namespace blendrisk::estimate
