#pragma once

#include <optional>
#include <string>

#include "scenario/scenario.hpp"

/// What is learned from what the dispenser showed at the end of a fill.
namespace blendrisk::scenario {

/// Whether any fill is done.
bool any_shown(const Scenario& scenario);

/// The key of a fill's figure, "fill.shown" or "fill-2.shown".
std::string figure_key(std::size_t fill);

/// The scenario as it was before any fill was done.
Scenario as_planned(Scenario scenario);

/// The uncertain input that a second look at the gauge determines where all others are given
/// (distance × economy = Heel::burned_l): the one with the widest relative spread. None where both
/// are exact, or there was none.
std::optional<Uncertain> told_by_gauge(const Scenario& scenario);

/// The uncertain input that the figure of a fill to click-off determines where all others are given
/// (heel + shown × (1 + meter error) = click-off volume): of those that have a density the one with
/// the widest spread, so that cases keep nearly equal weights. For the first fill the gauge's error
/// (not where the tank may have been empty: all errors below then give the same figure), the
/// click-off or the meter's error; for later ones what was burned before or the meter's error. None
/// where all of these are exact, or none was shown, or the fill ended by hand.
std::optional<Uncertain> told_by_dispenser(const Scenario& scenario, std::size_t fill);

}  // namespace blendrisk::scenario
