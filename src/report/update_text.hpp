#pragma once

#include <string>

#include "estimate/posterior.hpp"
#include "report/format.hpp"

namespace blendrisk::report {

/// The text answer of `update`: whether the injectors get fuel within the limit by now, and what is
/// left to burn.
std::string update_text(const scenario::Scenario& scenario, const estimate::Posterior& result,
                        const estimate::Options& options, UnitSystem units);

/// One line of it, for readings that come in one by one.
/// @param shown  the last reading
std::string update_line(const estimate::Posterior& result, const estimate::Reading& shown,
                        UnitSystem units);

/// One JSON object on one line.
/// @param skipped  lines of a stream that were none
std::string update_json(const scenario::Scenario& scenario, const estimate::Posterior& result,
                        const estimate::Options& options, double elapsed_s, std::size_t skipped);

/// One JSON object where there are no odds, with the reason.
std::string no_update_json(const scenario::Scenario& scenario, const std::string& reason,
                           const estimate::Options& options, std::size_t skipped);

}  // namespace blendrisk::report
