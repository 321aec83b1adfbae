#include <cstddef>
#include <cstdint>
#include <string>

#include "scenario/axis.hpp"
#include "scenario/read.hpp"

// Any text is an axis of at least one value or an InputError.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size > 1000) return 0;
  try {
    const auto axis = blendrisk::scenario::parse_axis(
        std::string(reinterpret_cast<const char*>(data), size), "rows");
    if (axis.values.empty()) __builtin_trap();
  } catch (const blendrisk::scenario::InputError&) {
  }
  return 0;
}
