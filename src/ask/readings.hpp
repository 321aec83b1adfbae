#pragma once

#include <optional>

#include "line/sensor_posterior.hpp"
#include "scenario/reading_text.hpp"

/// Readings of the sensor as they were given, for the odds since the fill.
namespace blendrisk::ask {

/// When it was taken.
line::Moment moment_of(const scenario::LoggedReading& reading);

/// Refuses times where the scenario has no rates to burn by, and more than a tank of fuel.
/// @throws text::Error
void require_rates(const line::Follow& follow, const scenario::LoggedReading& reading);

/// As the scenario's sensor took it. @throws text::Error as require_rates
line::Reading taken(const line::Follow& follow, const scenario::LoggedReading& reading);

}  // namespace blendrisk::ask
