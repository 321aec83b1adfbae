#pragma once

#include "line/sensor_posterior.hpp"
#include "scenario/reading_text.hpp"

/// Readings of the sensor as they were given, for the odds since the fill.
namespace blendrisk::ask {

/// As the scenario's sensor took it. @throws text::Error for a time where the scenario has no rates
/// to burn by, and for more than a tank of fuel
line::Reading taken(const line::Follow& follow, const scenario::LoggedReading& reading);

}  // namespace blendrisk::ask
