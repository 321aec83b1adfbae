#pragma once

#include <optional>
#include <string>

#include "report/figure.hpp"

namespace blendrisk::cli {

/// The picture format of a file's ending; none for another.
std::optional<report::PictureFormat> picture_format(const std::string& path);

/// Draws the figure and writes it, whole or not at all.
/// @throws std::runtime_error
void write_picture(const std::string& path, const report::Figure& figure,
                   report::PictureFormat format);

/// write_whole, with the path in the error. @throws std::runtime_error
void write_output(const std::string& path, const std::string& text);

}  // namespace blendrisk::cli
