#pragma once

#include <string>
#include <vector>

#include "answer/json.hpp"
#include "answer/scenario_lines.hpp"
#include "learn/changeover.hpp"

/// What a logged changeover teaches, as lines of a scenario.
namespace blendrisk::answer {

/// @param source  name of the file, shown
std::vector<Line> learned(const learn::ChangeoverFit& fit, const std::string& source);

Json members(const learn::ChangeoverFit& fit, const std::string& source, double elapsed_s);

/// How many decimals show two digits of the error.
int decimals_for(double error);

/// The members that every answer of `learn` begins with.
Members learn_opening(const char* method, const std::string& source, double elapsed_s);

/// Rows that were left out: words with how many, and the first ten by their line.
Value lines_left_out(const char* id, const std::vector<std::size_t>& lines);

}  // namespace blendrisk::answer
