#pragma once

#include <string>

#include "answer/figure.hpp"

/// Pictures without gnuplot: as a page draws them.
namespace blendrisk::render {

/// The figure as one SVG image of the layout that gnuplot's pictures have. All texts are cleaned
/// and escaped.
std::string svg(const answer::Figure& figure);

}  // namespace blendrisk::render
