#pragma once

#include <string>

#include "decide/arrive.hpp"
#include "report/format.hpp"

namespace blendrisk::report {

/// The text answer of `arrive`: the reading to wait for, what to burn without a sensor, and how the
/// fuel at the injectors comes in.
std::string arrive_text(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                        const estimate::Options& options, UnitSystem units);

/// The same as one JSON object on one line.
std::string arrive_json(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                        const estimate::Options& options, double elapsed_s);

}  // namespace blendrisk::report
