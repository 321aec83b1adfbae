#pragma once

#include <cstddef>
#include <string>

namespace blendrisk::cli {

/// The bytes of a file, a pipe or a device, at most `most` + 1 of them, so that an endless one ends
/// and the reader can tell that it was too long.
/// @throws text::Error with a short reason ("cannot be opened (no such file or directory)")
std::string read_bytes(const std::string& path, std::size_t most);

/// Writes the text to a temporary beside `path`, "FILE.part-" and the number of the process, and
/// renames it, so that no half file is ever there. A signal that ends the program takes the
/// temporary along; one that cannot be caught leaves it.
/// @throws text::Error; the temporary is gone then
void write_output(const std::string& path, const std::string& text);

/// `named` as seen from the directory of the file `origin`; absolute paths stay.
std::string path_beside(const std::string& origin, const std::string& named);

}  // namespace blendrisk::cli
