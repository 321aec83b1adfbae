#pragma once

#include "answer/json.hpp"
#include "answer/shared.hpp"
#include "decide/arrive.hpp"

/// The table of what the sensor has to show by when, and the gap between the calibrations.
namespace blendrisk::answer {

/// Its rows with their head. @pre there are rows
Section waiting_section(const decide::ArriveResult& result);

/// What comes of following it. @pre there are rows
Value waiting_followed(const Asked& asked, const decide::ArriveResult& result);

/// {"rows", "every", "until", "triggers", "too_early"}, or null members with the reason.
Json waiting_members(const decide::ArriveResult& result);

/// When the injectors leave the band that the old calibration bears, and how long neither fits.
/// @pre there is a gap
Section gap_section(const Asked& asked, const decide::ArriveResult& result);

/// What the guide says of it; nothing where the old band is not given.
Value gap_step(const Asked& asked, const decide::ArriveResult& result);

/// {"chance", "burn", "time", "leaves"}; none where the old band is not given.
std::optional<Json> gap_members(const decide::ArriveResult& result);

}  // namespace blendrisk::answer
