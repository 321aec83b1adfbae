#pragma once

#include <string>

#include "answer/figure.hpp"

namespace blendrisk::render {

enum class PictureFormat { svg, png, pdf };

/// The script that writes the picture to gnuplot's standard output. Nothing but the figure goes in:
/// no time, no path. Texts come from anywhere: they are cleaned and quoted, and nothing in them is
/// markup or a command.
std::string gnuplot_script(const answer::Figure& figure, PictureFormat format);

}  // namespace blendrisk::render
