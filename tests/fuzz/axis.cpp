#include "scenario/axis.hpp"

#include "scenario/read.hpp"
#include "tests/fuzz/require.hpp"
#include "text/error.hpp"

// Any text is an axis of at least one value or a text::Error of one line.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size > 1000) return 0;
  try {
    const auto axis = scenario::parse_axis(fuzz::text_of(data, size), "rows");
    fuzz::require(!axis.values.empty() && axis.values.size() <= scenario::k_most_values + 1);
    for (const std::string& value : axis.values) fuzz::require(!value.empty());
  } catch (const text::Error& error) {
    fuzz::require_message(error.what());
  }
  return 0;
}
