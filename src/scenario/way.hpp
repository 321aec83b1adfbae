#pragma once

#include <functional>
#include <string_view>

#include "scenario/scenario.hpp"

/// The way to the pump, of a plan that starts away from it.
namespace blendrisk::scenario {

/// Whether the way is still to be driven: the gauge was not read again at the pump.
bool is_on_the_way(const Scenario& scenario);

/// Whether the key tells of the way to the pump.
bool is_of_way(std::string_view key);

/// What the gauge shows before the first fill [L]: the reading, less what is burned on the way to
/// the pump at its medians where that is still to be driven. It may be negative.
double reading_at_pump(const Scenario& scenario);

/// The scenario with the gauge read at the pump, where it shows this; the way is no more.
Scenario read_at_pump(Scenario scenario, double indicated_l);

/// The same where it shows reading_at_pump; the scenario itself where there is no way to drive.
Scenario at_pump(Scenario scenario);

/// The mean of f(what the way to the pump burns [L]), distance and economy independent of each
/// other; f(0) where there is no way to drive. By the trapezoidal rule in normal scores, up to 6 to
/// both sides (beyond: 2e-9).
double mean_over_way(const Scenario& scenario, const std::function<double(double)>& f);

/// Whether the way may burn this [L], read off a gauge to within a twentieth of a litre: neither
/// less nor more has a chance below 1e-6.
bool may_burn(const Scenario& scenario, double burned_l);

}  // namespace blendrisk::scenario
