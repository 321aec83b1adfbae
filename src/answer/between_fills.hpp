#pragma once

#include <string>
#include <vector>

#include "answer/json.hpp"

/// What the tank holds between the fills of a plan, and which calibration that suits.
namespace blendrisk::answer {

/// "at most 40 %": what the old calibration bears. @pre one of its limits is given
Value old_band(const scenario::Before& before);

/// A leg in two sentences.
Value held_between(const estimate::Leg& leg);

/// The content after each fill but the last, how likely it is outside the limits and outside what
/// the old calibration bears, and which of the two fits.
Section between_section(const scenario::Scenario& scenario, const std::vector<estimate::Leg>& legs);

/// An object a fill: {"after_fill", "landed", "below_minimum", ..., "before", "calibration"}.
Json between_members(const scenario::Scenario& scenario, const std::vector<estimate::Leg>& legs);

/// The chances beyond each limit, with the limit or why there is none: the words
/// `none`minimum and `none`maximum.
void add_limits(Members& object, const scenario::Limits& limits,
                const std::optional<estimate::Estimate>& below,
                const std::optional<estimate::Estimate>& above, const std::string& none);

}  // namespace blendrisk::answer
