#include "scenario/read.hpp"

#include <algorithm>

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
// is the same. The first byte chooses the data file. Behind a byte 1 stands what an include gets.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size == 0 || size > 4096) return 0;
  std::string text = fuzz::text_of(data + 1, size - 1);
  const std::size_t end = std::min(text.find('\x01'), text.size());
  const std::string included = text.substr(std::min(end + 1, text.size()));
  text.resize(end);
  const auto read_include = [&](const std::string& path) -> scenario::Source {
    if (included.empty()) throw text::Error("cannot be opened");
    return {path.size() % 2 == 0 ? "in.ini" : "other.ini", included};
  };
  const std::string csv =
      (data[0] & 1U) != 0U ? "content_percent,volume_l\n70,1\n75,2\n" : text.substr(0, 300);
  const auto read_data = [&](const std::string&) { return csv; };
  try {
    const auto scenario = scenario::read({"fuzz.ini", text}, {}, read_data, read_include);
    fuzz::require(!scenario.fills.empty());
    const estimate::Options options;
    const answer::Asked asked{scenario, options, answer::UnitSystem::us};
    answer::Description told = answer::opened(asked);
    answer::close(told, asked, answer::About::line, {});
    fuzz::require_printable(render::text(told, asked.units), true);
    const auto entries = scenario::with_includes({"fuzz.ini", text}, read_include);
    const auto as_one = scenario::read({"fuzz.ini", scenario::ini_text(entries)}, {}, read_data);
    fuzz::require(fuzz::written(as_one) == fuzz::written(scenario));
    const auto again = scenario::read({"again.ini", fuzz::written(scenario)}, {}, read_data);
    fuzz::require(fuzz::written(again) == fuzz::written(scenario));
  } catch (const text::Error& error) {
    fuzz::require_message(error.what());
    const std::string_view what = error.what();
    fuzz::require(what.starts_with("fuzz.ini") || what.find(" (included by ") != what.npos);
  }
  return 0;
}
