#pragma once

#include <string>

#include "learn/changeover.hpp"
#include "learn/pump_tests.hpp"

/// What logs teach, as lines of a scenario. All prose is in comment lines, so that the whole text
/// is itself a part of a scenario file.
namespace blendrisk::report {

/// @param source  name of the file, shown
std::string pump_tests_text(const learn::PumpTests& tests, const std::string& source);
std::string pump_tests_json(const learn::PumpTests& tests, const std::string& source,
                            double elapsed_s);

std::string changeover_text(const learn::ChangeoverFit& fit, const std::string& source);
std::string changeover_json(const learn::ChangeoverFit& fit, const std::string& source,
                            double elapsed_s);

}  // namespace blendrisk::report
