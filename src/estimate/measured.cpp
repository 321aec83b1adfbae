#include "estimate/measured.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/parallel.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::CaseInputs;

/// An engine that burns nothing at all never gets anywhere [L/s].
constexpr double k_hardly_burning = 1e-6;
/// Points of the own law at an end, which do where they tell its chance to so much of itself.
constexpr std::uint64_t k_first_at_ends = 1024;
constexpr double k_known_at_ends = 0.03;

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

/// Whether a chance at an end is known well enough: to a part of itself, or to be less than would
/// count even where the points of the own law may have missed some.
bool is_known(const Estimate& at_end, double counts) {
  if (!at_end.upper_bound_only && at_end.standard_error <= k_known_at_ends * at_end.chance) {
    return true;
  }
  const double unseen = 7.0 / static_cast<double>(k_first_at_ends);
  return at_end.interval[1] + 2.0 * at_end.standard_error + unseen < counts;
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

double most_added(std::span<const MeasuredInput> inputs) {
  double most = 0.0;
  for (const MeasuredInput& input : inputs) most += input.share();
  return most;
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

void lift(const CaseInputs& inputs, std::span<Estimate* const> told, const Options& options,
          const ChancesAt& at) {
  const std::vector<MeasuredInput> measured = measured_inputs(inputs);
  const double most = most_added(measured);
  const auto is_small = [&](const Estimate* one) { return told_value(*one) < most; };
  if (std::none_of(told.begin(), told.end(), is_small)) return;
  Options roughly = at_ends(options);
  roughly.importance_sampling = false;
  roughly.cases = k_first_at_ends;
  const auto chances = [&](const MeasuredInput& input, std::size_t end) {
    const scenario::Scenario there = at_end(inputs.scenario(), input, end);
    // Of a fill that is done a few points do not tell what is known.
    if (inputs.weighted()) return at(there, at_ends(options));
    std::vector<Estimate> rough = at(there, roughly);
    for (std::size_t i = 0; i < told.size(); ++i) {
      const double counts = told_value(*told[i]) / (input.share() * double(measured.size()));
      if (is_small(told[i]) && !is_known(rough[i], counts)) return at(there, at_ends(options));
    }
    return rough;
  };
  std::vector<std::vector<Estimate>> there(2 * measured.size());
  in_parallel(there.size(), options.threads, [&] {
    return [&](std::size_t unit) { there[unit] = chances(measured[unit / 2], unit % 2); };
  });
  std::vector<Sum> sums(told.size());
  for (std::size_t k = 0; k < measured.size(); ++k) {
    for (std::size_t i = 0; i < told.size(); ++i) {
      sums[i].add(measured[k], *told[i], there[2 * k][i], there[2 * k + 1][i]);
    }
  }
  for (std::size_t i = 0; i < told.size(); ++i) {
    const double least = std::min(sums[i].chance, 1.0);
    if (!(told_value(*told[i]) < least)) continue;
    *told[i] = {least, std::sqrt(sums[i].variance), {0.0, least}, true, true};
  }
}

}  // namespace blendrisk::estimate
