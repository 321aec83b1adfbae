#pragma once

#include <string>

#include "decide/fill.hpp"
#include "report/format.hpp"

namespace blendrisk::report {

/// The answer of `fill` for people: what to put in, the margin and why, what would do where no
/// amount does, everything that was assumed, cautions. Ends with a newline.
std::string fill_text(const scenario::Scenario& scenario, const decide::FillResult& result,
                      const estimate::Options& options, UnitSystem units);

/// The same as one JSON object on one line.
std::string fill_json(const scenario::Scenario& scenario, const decide::FillResult& result,
                      const estimate::Options& options, double elapsed_s);

}  // namespace blendrisk::report
