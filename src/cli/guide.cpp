#include "ask/guide.hpp"

#include <cstdlib>
#include <ctime>
#include <filesystem>

#include "cli/answering.hpp"
#include "cli/page_module.hpp"
#include "render/live.hpp"
#include "render/page.hpp"
#include "render/text.hpp"

namespace blendrisk::cli {
namespace {

/// Today, or the day that SOURCE_DATE_EPOCH names (reproducible-builds.org), so that a page can be
/// made again byte for byte.
std::string date_today() {
  std::time_t now = std::time(nullptr);
  if (const char* epoch = std::getenv("SOURCE_DATE_EPOCH")) {
    char* end = nullptr;
    const long long value = std::strtoll(epoch, &end, 10);
    if (end != epoch && *end == '\0' && value >= 0) now = static_cast<std::time_t>(value);
  }
  std::tm date{};
  if (gmtime_r(&now, &date) == nullptr) return "an unknown day";
  std::string text(16, '\0');
  text.resize(std::strftime(text.data(), text.size(), "%Y-%m-%d", &date));
  return text;
}

Answer answer_guide(const Call& call) {
  const Arguments& arguments = call.arguments;
  if (arguments.output.empty()) {
    throw Error("guide: --output is needed, a name ending in .html");
  }
  const ScenarioFile file(arguments.scenario_path);
  std::map<std::string, std::string> data;
  const scenario::Scenario scenario = file.read(arguments.overrides, &data);
  const answer::Asked asked{scenario, arguments.options, arguments.units};
  const ask::GuideSource source{std::filesystem::path(arguments.scenario_path).filename(),
                                file.text(), date_today(), arguments.overrides};
  const answer::Page page =
      computed({arguments.scenario_path}, [&] { return ask::guide_page(asked, source); });
  if (page_module().empty() || arguments.static_page) {
    std::vector<answer::Paragraph> more;
    if (!arguments.static_page) more.push_back({answer::say("guide.static")});
    write_output(arguments.output, render::page(page, arguments.units));
    return {render::written_text(arguments.output, more, arguments.units)};
  }
  render::LiveParts parts = ask::live_parts(asked, source, data);
  parts.module = page_module();
  parts.opening = page_opening();
  parts.script = page_script();
  write_output(arguments.output, render::live_page(page, arguments.units, parts));
  return {render::written_text(arguments.output, {}, arguments.units)};
}

}  // namespace

extern const Command k_guide{
    .name = "guide",
    .question = "a guide for the customer: one page with steps, table, curves and cautions",
    .usage = "SCENARIO.ini [--section.key VALUE ...] --output GUIDE.html [options]",
    .about =
        R"(A guide for the customer of a shop as one HTML page that needs no network: what to do step by step
with this car's numbers, how much to put in for what the gauge shows and the pump tested at, how the
risk grows, how long to wait and for what reading, what was assumed and on whose word (the comments
beside the scenario's values), cautions, and the scenario itself. Of several fills it tells each,
what the tank then holds and which calibration suits that, in place of the table. SOURCE_DATE_EPOCH
sets the day it says.
The page computes: what the gauge, the tester and the dispenser show, readings of the sensor and
every value of the scenario can be typed into it, in a browser, and its answers follow. Where the
browser runs no script, the program was built without the module that computes, or with --static,
the page is the plan as it was made.
)",
    .options = "seed threads precision cases method units output static",
    .answer = answer_guide,
    .output = ".html"};

}  // namespace blendrisk::cli
