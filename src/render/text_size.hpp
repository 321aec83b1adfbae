#pragma once

#include <string>
#include <string_view>
#include <vector>

/// Room that text takes in a picture, on the safe side for the usual sans-serif fonts.
namespace blendrisk::render {

/// Width of cleaned text in heights of its font (em).
double text_width(std::string_view text);

/// Cleaned text broken at spaces into lines of at most `most` em, a longer word anywhere; a line
/// holds one character at least. No text: no line.
std::vector<std::string> lines_within(std::string_view text, double most);

/// The widest of the lines [em].
double widest(const std::vector<std::string>& lines);

}  // namespace blendrisk::render
