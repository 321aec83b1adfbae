#include <filesystem>

#include "cli/answering.hpp"
#include "cli/guide_page.hpp"
#include "cli/shop_guides.hpp"
#include "render/text.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

Answer answer_guide(const Call& call) {
  const Arguments& arguments = call.arguments;
  if (!arguments.cars.empty()) return answer_shop_guides(call);
  const ScenarioFile file(arguments.scenario_path);
  std::map<std::string, std::string> data;
  const scenario::Scenario scenario = file.read(arguments.overrides, &data);
  const answer::Asked asked{scenario, arguments.options, arguments.units};
  const ask::GuideSource source{std::filesystem::path(arguments.scenario_path).filename(),
                                file.text(), date_today(), arguments.overrides};
  const GuidePage page = computed({arguments.scenario_path},
                                  [&] { return guide_page(asked, source, data, arguments); });
  write_output(arguments.output, page.html);
  return {render::written_text(arguments.output, static_note(arguments), arguments.units)};
}

void refuse_guide(const Arguments& arguments) {
  const bool shop = !arguments.cars.empty() || !arguments.pumps.empty();
  if (arguments.output.empty()) {
    throw Error(shop ? "guide: --output is needed, a directory"
                     : "guide: --output is needed, a name ending in .html");
  }
  if (!shop && !(arguments.output.size() > 5 && arguments.output.ends_with(".html"))) {
    throw Error(text::in_quotes(arguments.output) + " is not accepted", "a name ending in .html",
                {"--output"});
  }
  if (shop && arguments.output.ends_with(".html")) {
    throw Error(text::in_quotes(arguments.output) +
                    " is the name of one page, and every car has one with every pump",
                "a directory is accepted", {"--output"});
  }
}

}  // namespace

extern const Command k_guide{
    .name = "guide",
    .question = "a guide for the customer: one page with steps, table, curves and cautions",
    .usage =
        "SCENARIO.ini [--section.key VALUE ...] --output GUIDE.html [options]\n"
        "--cars FILES --pumps FILES --output DIRECTORY [options]",
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
the page is the plan as it was made. With --language german it is German, but for its scenario and the
lines that refuse what is typed.
Of every car of a shop with every pump it makes one page each, and an index of them, in a new
directory.
  blendrisk guide --cars 'cars/*.ini' --pumps 'pumps/*.ini' --output guides
)",
    .options = "cars pumps seed threads precision cases method units language output static",
    .answer = answer_guide,
    .output = ".html",
    .refuse = refuse_guide,
    .directory = true};

}  // namespace blendrisk::cli
