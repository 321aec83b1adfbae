#pragma once

#include <string>
#include <vector>

#include "answer/description.hpp"
#include "answer/json.hpp"
#include "learn/changeover.hpp"
#include "learn/pump_tests.hpp"

/// What logs teach, as lines of a scenario. All prose is in comments, so that the whole is itself a
/// part of a scenario file.
namespace blendrisk::answer {

struct Line {
  enum class Kind { empty, rule, comment, setting } kind = Kind::empty;
  Value value{};
};

/// @param source  name of the file, shown
std::vector<Line> learned(const learn::PumpTests& tests, const std::string& source);
std::vector<Line> learned(const learn::ChangeoverFit& fit, const std::string& source);

Json members(const learn::PumpTests& tests, const std::string& source, double elapsed_s);
Json members(const learn::ChangeoverFit& fit, const std::string& source, double elapsed_s);

}  // namespace blendrisk::answer
