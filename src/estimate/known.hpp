#pragma once

#include "sampling/case_inputs.hpp"
#include "scenario/scenario.hpp"

/// Scenarios in which an uncertain input has become known.
namespace blendrisk::estimate {

/// The law of an input by its slot, those of Scope::line included. The slot has to be one that the
/// scenario gives.
distributions::Distribution& law_of(scenario::Scenario& scenario, std::size_t slot);

/// The scenario once the input of that slot is known to be `value`; those correlated with it are as
/// they are where its normal score is `score`.
/// @param key  of the input, CaseInputs::key
scenario::Scenario known_at(scenario::Scenario scenario, std::size_t slot, const std::string& key,
                            double value, double score);

}  // namespace blendrisk::estimate
