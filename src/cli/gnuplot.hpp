#pragma once

#include <chrono>
#include <string>

namespace blendrisk::cli {

/// What gnuplot draws from a script that writes to its standard output: the bytes of the picture.
/// @throws std::runtime_error with one line where gnuplot is missing, fails, dies, draws nothing or
/// only a part, or takes longer than `limit`; it is ended then
std::string drawn(const std::string& script, std::chrono::seconds limit = std::chrono::seconds(30));

}  // namespace blendrisk::cli
