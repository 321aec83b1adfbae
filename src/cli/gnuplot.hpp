#pragma once

#include <chrono>
#include <optional>
#include <string>

#include "render/gnuplot_script.hpp"

namespace blendrisk::cli {

/// What gnuplot draws from a script that writes to its standard output: the bytes of the picture.
/// @throws text::Error where gnuplot is missing, fails, dies, draws nothing or
/// only a part, or takes longer than `limit`; it is ended then
std::string drawn(const std::string& script, std::chrono::seconds limit = std::chrono::seconds(30));

/// The picture format of a file's ending; none for another.
std::optional<render::PictureFormat> picture_format(const std::string& path);

/// Draws the figure and writes it, whole or not at all. @throws text::Error
void write_picture(const std::string& path, const answer::Figure& figure,
                   render::PictureFormat format);

}  // namespace blendrisk::cli
