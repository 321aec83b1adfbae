#pragma once

#include "answer/json.hpp"
#include "answer/shared.hpp"
#include "decide/arrive.hpp"

/// The table of what the sensor has to show by when.
namespace blendrisk::answer {

/// Its rows with their head. @pre there are rows
Section waiting_section(const decide::ArriveResult& result);

/// What comes of following it. @pre there are rows
Value waiting_followed(const Asked& asked, const decide::ArriveResult& result);

/// {"rows", "every", "until", "triggers", "too_early"}, or null members with the reason.
Json waiting_members(const decide::ArriveResult& result);

}  // namespace blendrisk::answer
