#pragma once

#include <string>

#include "answer/description.hpp"
#include "decide/enough_burn.hpp"
#include "decide/heel.hpp"
#include "decide/wait_for.hpp"
#include "learn/changeover.hpp"
#include "line/sensor_posterior.hpp"

/// The words of what computing gives as an enum with its numbers.
namespace blendrisk::answer {

std::string reason(decide::NoWindow why);
std::string reason(decide::NoBurn why);
std::string reason(decide::NoReading why);
std::string reason(const learn::Fitted& not_told);
/// After "FILE: ".
std::string reason(const estimate::ImpossibleScenario& why);
std::string reason(const line::NoPosterior& why);
/// After "FILE:LINE: ", or "FILE: " where no rate is known.
std::string reason(const learn::UntellingLog& why);

Value said(const learn::Note& note);
Value said(const estimate::LessSure& side);

}  // namespace blendrisk::answer
