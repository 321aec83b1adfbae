#pragma once

#include <cstddef>
#include <stdexcept>
#include <string>

namespace blendrisk::cli {

/// A file that cannot be read; what() is a short reason ("no such file or directory").
struct FileError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// The bytes of a file, a pipe or a device, at most `most` + 1 of them, so that an endless one ends
/// and the reader can tell that it was too long.
/// @throws FileError
std::string read_bytes(const std::string& path, std::size_t most);

/// Writes the text to a temporary beside `path`, "FILE.part-" and the number of the process, and
/// renames it, so that no half file is ever there. A signal that ends the program takes the
/// temporary along; one that cannot be caught leaves it.
/// @throws FileError; the temporary is gone then
void write_whole(const std::string& path, const std::string& text);

/// write_whole, with the path in the error. @throws std::runtime_error
void write_output(const std::string& path, const std::string& text);

/// `path` as seen from the directory of the file `origin`; absolute paths stay.
std::string path_beside(const std::string& origin, const std::string& path);

}  // namespace blendrisk::cli
