#include "estimate/measured.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "estimate/known.hpp"
#include "numeric/arrays.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::CaseInputs;
using sampling::LineInput;
using sampling::Slot;

/// What an input may be where the scenario's own range has no end.
double farthest(const CaseInputs& inputs, std::size_t slot) {
  constexpr double k_any_tank = 1e6;  // litres that a gauge is off: it says nothing
  constexpr double k_rate = 1.0;      // litres a second, the most that a scenario may give
  if (slot == Slot::gauge_error) return k_any_tank;
  if (slot == Slot::old_fuel) return 1.0;  // a bias
  const std::size_t fill = (slot - Slot::first_fill) / Slot::per_fill;
  if (slot >= Slot::first_fill && fill < inputs.fills() && slot == Slot::meter_error(fill)) {
    return 1.0;
  }
  if (inputs.scope() == sampling::Scope::line) {
    for (const LineInput rate : {LineInput::return_flow, LineInput::idle, LineInput::gentle}) {
      if (slot == inputs.slot(rate)) return k_rate;
    }
    if (slot == inputs.slot(LineInput::bias)) return 1.0;
  }
  return inputs.scenario().tank.capacity_l;
}

/// An engine that burns nothing at all never gets anywhere [L/s].
constexpr double k_hardly_burning = 1e-6;

std::array<double, 2> ends_of(const CaseInputs& inputs, std::size_t slot,
                              const distributions::Empirical& law) {
  const sampling::Input& input = inputs[slot];
  const double far = farthest(inputs, slot);
  double low = std::max({law.low, input.low, -far});
  if (inputs.scope() == sampling::Scope::line &&
      (slot == inputs.slot(LineInput::idle) || slot == inputs.slot(LineInput::gentle))) {
    low = std::max(low, k_hardly_burning);
  }
  const double high = std::min({law.high, input.high, far});
  return {std::min(low, law.sorted->front()), std::max(high, law.sorted->back())};
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
    const auto* law = std::get_if<distributions::Empirical>(&inputs[slot].law.law());
    if (law == nullptr || !inputs[slot].uncertain) continue;
    found.push_back({slot, inputs.key(slot), law->sorted->size(), ends_of(inputs, slot, *law)});
  }
  return found;
}

scenario::Scenario at_end(const scenario::Scenario& scenario, const MeasuredInput& input,
                          std::size_t end) {
  const double score = numeric::normal_quantile(0.5 * input.share());
  return known_at(scenario, input.slot, input.key, input.ends[end], end == 0 ? score : -score);
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
