#include "scenario/read.hpp"

#include "answer/shared.hpp"
#include "render/text.hpp"
#include "tests/fuzz/require.hpp"
#include "text/error.hpp"

namespace blendrisk::fuzz {
namespace {

/// What was given, written as a scenario again.
std::string written(const scenario::Scenario& scenario) {
  std::string text = "title = " + scenario.title + "\n";
  for (const scenario::Given& one : scenario.given) {
    const std::size_t dot = one.key.find('.');
    if (dot == std::string::npos) continue;
    text +=
        "[" + one.key.substr(0, dot) + "]\n" + one.key.substr(dot + 1) + " = " + one.value + "\n";
  }
  return text;
}

}  // namespace
}  // namespace blendrisk::fuzz

// Any text is a scenario or a text::Error of one line. What was read, written out and read again
// is the same. The first byte chooses the data file.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size == 0 || size > 4096) return 0;
  const std::string text = fuzz::text_of(data + 1, size - 1);
  const std::string csv =
      (data[0] & 1U) != 0U ? "content_percent,volume_l\n70,1\n75,2\n" : text.substr(0, 300);
  const auto read_data = [&](const std::string&) { return csv; };
  try {
    const auto scenario = scenario::read({"fuzz.ini", text}, {}, read_data);
    fuzz::require(!scenario.fills.empty());
    const estimate::Options options;
    const answer::Asked asked{scenario, options, answer::UnitSystem::us};
    answer::Description told = answer::opened(asked);
    answer::close(told, asked, answer::About::line, {});
    fuzz::require_printable(render::text(told, asked.units), true);
    const auto again = scenario::read({"again.ini", fuzz::written(scenario)}, {}, read_data);
    fuzz::require(fuzz::written(again) == fuzz::written(scenario));
  } catch (const text::Error& error) {
    fuzz::require_message(error.what());
    fuzz::require(std::string_view(error.what()).starts_with("fuzz.ini"));
  }
  return 0;
}
