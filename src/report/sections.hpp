#pragma once

#include <string>
#include <string_view>

#include "estimate/result.hpp"
#include "report/format.hpp"
#include "scenario/scenario.hpp"

/// Parts that text answers share. Each ends with a newline.
namespace blendrisk::report {

/// To accept a risk above this is no advice.
inline constexpr double k_most_to_accept = 0.2;

/// "  label      value", the value broken within its own column.
std::string row(std::string_view name, std::size_t columns, std::string_view value);

/// A line of its own after an empty one.
std::string heading(std::string_view text);

/// The scenario's title, underlined.
std::string title_lines(const scenario::Scenario& scenario);

/// A chance with its interval beside it, or below it where there is no room; "exact" where there is
/// none.
std::string chance_row(const std::string& name, const estimate::Estimate& estimate);

/// Mean, standard deviation, median and the middle 95 % of the landed content.
std::string landed_section(std::string_view name, const estimate::Landed& landed);

/// What an answer depends on: where the tank lands, or the line, engine and sensor too.
enum class About { landing, line };

/// Every key that the user gave and the answer depends on, in words, and the defaults that stand
/// in for others. Volumes in gallons where those are asked for.
std::string assumed_section(const scenario::Scenario& scenario, UnitSystem units,
                            About about = About::landing);

/// The heading of a table of chance_row lines.
std::string chances_heading();

/// That the dry risk is not met and what that may do; nothing where it is met.
std::string dry_warning(const scenario::Scenario& scenario, const estimate::ChanceResult& result);

std::string cautions_section();

}  // namespace blendrisk::report
