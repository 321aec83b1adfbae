#pragma once

#include <string>

#include "decide/heel.hpp"
#include "report/format.hpp"

namespace blendrisk::report {

/// The answer of `heel` for people: how empty to run first, the window or why there is none, the
/// plan with two fills, everything that was assumed, cautions. Ends with a newline.
std::string heel_text(const scenario::Scenario& scenario, const decide::HeelResult& result,
                      const estimate::Options& options, UnitSystem units);

/// The same as one JSON object on one line.
std::string heel_json(const scenario::Scenario& scenario, const decide::HeelResult& result,
                      const estimate::Options& options, double elapsed_s);

}  // namespace blendrisk::report
