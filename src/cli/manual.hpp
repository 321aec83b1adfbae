#pragma once

#include <string>

/// The manual pages as man(7) source, from the tables that the help is printed from.
namespace blendrisk::cli {

/// blendrisk(1). @param date  day of the version, "2026-01-31"
std::string program_manual(const std::string& date);

/// blendrisk-scenario(5), the scenario file. @param date  as above
std::string scenario_manual(const std::string& date);

}  // namespace blendrisk::cli
