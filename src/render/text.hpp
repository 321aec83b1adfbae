#pragma once

#include <string>
#include <vector>

#include "answer/learn.hpp"

namespace blendrisk::render {

/// An answer in lines of at most 80 columns. Text of unknown origin reaches no terminal with
/// control characters in it. Ends with a newline.
std::string text(const answer::Description& description, answer::UnitSystem units);

/// Several answers, an empty line between.
std::string text(const std::vector<answer::Description>& all, answer::UnitSystem units);

/// Lines of a scenario, comments wrapped.
std::string scenario_text(const std::vector<answer::Line>& lines);

/// The text answer where a file holds the rest: its name, what more there is to say, and the short
/// caution. Ends with a newline.
std::string written_text(const std::string& path, const std::vector<answer::Paragraph>& more,
                         answer::UnitSystem units);

}  // namespace blendrisk::render
