#include <cstddef>
#include <cstdint>
#include <stdexcept>
#include <string>

#include "decide/fill.hpp"
#include "estimate/chance.hpp"
#include "report/chance_json.hpp"
#include "report/chance_text.hpp"
#include "report/fill_text.hpp"
#include "scenario/read.hpp"

// Any text is a scenario that is answered or an InputError; the first byte chooses a data file and
// the method.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size == 0 || size > 4096) return 0;
  const std::string text(reinterpret_cast<const char*>(data) + 1, size - 1);
  const std::string csv =
      (data[0] & 1U) != 0U ? "content_percent,volume_l\n70,1\n75,2\n" : text.substr(0, 200);
  try {
    const auto scenario =
        scenario::read({"fuzz.ini", text}, {}, [&](const std::string&) { return csv; });
    estimate::Options options;
    options.threads = 1;
    options.cases = 256;
    options.method = (data[0] & 2U) != 0U ? estimate::Method::plain : estimate::Method::conditional;
    const auto result = estimate::estimate_chance(scenario, options);
    const auto inside = [](const estimate::Estimate& e) {
      return e.chance >= 0.0 && e.chance <= 1.0 && e.interval[0] <= e.interval[1];
    };
    if (!inside(result.outside) || !inside(result.run_dry)) __builtin_trap();
    report::chance_text(scenario, result, options, report::UnitSystem::us);
    report::chance_json(scenario, result, options, 0.0);
    if ((data[0] & 4U) != 0U && scenario.fills.size() < 3) {
      const auto fill = decide::solve_fill(scenario, options, 0.01, 0.1);
      report::fill_text(scenario, fill, options, report::UnitSystem::metric);
    }
  } catch (const scenario::InputError&) {
  } catch (const estimate::ImpossibleScenario&) {
  }
  return 0;
}
