#pragma once

#include <string>

#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::report {

/// The answer of `chance` as one JSON object on one line of ASCII, and a newline. Contents and
/// chances are fractions, volumes litres, `elapsed_s` seconds. What does not exist is null and has
/// a neighbour named after it with `_reason` at the end. Inputs held at their bounds, and chances
/// that are bounds only, are told among the notes. Any bytes may stand in the texts: what is not
/// UTF-8 is replaced.
std::string chance_json(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                        const estimate::Options& options, double elapsed_s);

}  // namespace blendrisk::report
