#pragma once

#include <string>

#include "estimate/result.hpp"
#include "report/format.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::report {

/// The answer of `chance` for a reader, in lines of at most 80 columns: the verdict, the chances
/// with their 95 % intervals, the landed content, what was assumed, how it was computed, notes and
/// cautions. What is absent is left out. `units` holds for the volumes that the report itself
/// tells; the scenario's values stand as they were given, shortened to fit. Text from the scenario
/// reaches no terminal with control characters in it.
std::string chance_text(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                        const estimate::Options& options, UnitSystem units);

}  // namespace blendrisk::report
