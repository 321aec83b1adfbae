#pragma once

#include <optional>
#include <string>

#include "estimate/interval.hpp"
#include "estimate/result.hpp"
#include "sampling/case_inputs.hpp"

/// What is known once a fill is done: how likely it was, and what it tells.
namespace blendrisk::tank {

/// The chance of all that the dispenser showed, by which the chances of an event and of that
/// (Integrand, Problem::known) are divided; none where no fill is done.
/// @throws ImpossibleScenario where it is less than a millionth of what the likeliest figures have:
/// they contradict the scenario
std::optional<estimate::Known> chance_of_known(const sampling::CaseInputs& inputs,
                                               const estimate::Options& options);

/// Refuses cases of which none agrees with what the dispenser showed.
/// @throws ImpossibleScenario where the sum of their weights is 0
void require_any(const sampling::CaseInputs& inputs, double sum_of_weights);

/// The key of the last figure that is given, "fill-2.shown".
std::string last_figure(const scenario::Scenario& scenario);

/// What the tank held before the last fill [L] and landed at, before and after the dispenser told.
/// @param conditioned  the content that the landing is conditioned on
estimate::Learned learned(const sampling::CaseInputs& inputs,
                          std::optional<std::size_t> conditioned, std::uint64_t seed);

}  // namespace blendrisk::tank
