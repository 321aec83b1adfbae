#pragma once

#include <string>
#include <vector>

#include "estimate/posterior.hpp"
#include "report/format.hpp"

namespace blendrisk::report {

/// The text answer of `update`: whether the injectors get fuel within the limit by now, and what is
/// left to burn. @param more_note  none where it is empty
std::string update_text(const scenario::Scenario& scenario, const estimate::Posterior& result,
                        const estimate::Options& options, UnitSystem units,
                        const std::string& more_note = {});

/// What is to be said of columns of a log that are not read; empty where there are none.
std::string unread_note(const std::vector<std::string>& columns, bool by_time);

/// One line of it, for readings that come in one by one.
/// Where the injectors are within the risk it carries the short caution: someone may switch by it.
/// @param shown  the last reading
std::string update_line(const scenario::Scenario& scenario, const estimate::Posterior& result,
                        const estimate::Reading& shown, UnitSystem units);

/// One JSON object on one line.
/// @param skipped  lines of a stream that were none   @param more_note  none where it is empty
std::string update_json(const scenario::Scenario& scenario, const estimate::Posterior& result,
                        const estimate::Options& options, double elapsed_s, std::size_t skipped,
                        const std::string& more_note = {});

/// One JSON object where there are no odds, with the reason.
std::string no_update_json(const scenario::Scenario& scenario, const std::string& reason,
                           const estimate::Options& options, std::size_t skipped);

}  // namespace blendrisk::report
