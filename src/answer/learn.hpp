#pragma once

#include <string>
#include <vector>

#include "answer/json.hpp"
#include "answer/scenario_lines.hpp"
#include "learn/changeover.hpp"
#include "learn/pump_tests.hpp"

/// What logs teach, as lines of a scenario.
namespace blendrisk::answer {

/// @param source  name of the file, shown
std::vector<Line> learned(const learn::PumpTests& tests, const std::string& source);
std::vector<Line> learned(const learn::ChangeoverFit& fit, const std::string& source);

Json members(const learn::PumpTests& tests, const std::string& source, double elapsed_s);
Json members(const learn::ChangeoverFit& fit, const std::string& source, double elapsed_s);

}  // namespace blendrisk::answer
