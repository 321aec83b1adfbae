#include "decide/guide.hpp"

#include <cstdlib>
#include <ctime>

#include "cli/answering.hpp"
#include "cli/rail_picture.hpp"
#include "report/curve_text.hpp"
#include "report/guide_html.hpp"
#include "report/run_figures.hpp"
#include "report/written_text.hpp"

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

std::string file_name(const std::string& path) {
  return path.substr(path.find_last_of('/') + 1);
}

Answer answer_guide(const Call& call) {
  const Arguments& arguments = call.arguments;
  if (arguments.output.empty()) {
    throw UsageError("guide: --output is needed, a name ending in .html");
  }
  const ScenarioFile file(arguments.scenario_path);
  const scenario::Scenario scenario = file.read(arguments.overrides);
  const decide::GuideSteps steps{report::dispenser_step(arguments.units),
                                 report::gauge_step(arguments.units),
                                 report::burn_step(arguments.units)};
  if (scenario.fills.size() > 1) {
    throw scenario::InputError(scenario::escaped(arguments.scenario_path) +
                               ": has several fills, whose steps a guide does not tell; a scenario "
                               "with one fill is accepted");
  }
  const decide::Guide guide =
      computed(arguments, [&] { return decide::make_guide(scenario, arguments.options, steps); });

  report::GuideSources sources;
  sources.scenario_name = file_name(arguments.scenario_path);
  sources.scenario_text = file.text();
  for (const scenario::Override& one : arguments.overrides) {
    sources.overrides.push_back({one.key, one.value});
  }
  for (const scenario::Given& one : scenario.given) sources.notes[one.key] = one.comment;
  for (const scenario::Override& one : arguments.overrides) {
    sources.notes[one.key] = "given on the command line";
  }
  sources.date = date_today();

  report::GuidePictures pictures;
  std::string risk_alt;
  if (guide.curve_l.size() > 1) {
    report::Figure risk =
        report::curve_figure(report::guide_curve(scenario, guide), arguments.units);
    risk.compact = true;
    pictures.risk_svg = drawn(report::gnuplot_script(risk, report::PictureFormat::svg));
    risk_alt = risk.alt;
  }
  std::string rail_alt;
  if (guide.arrive) {
    report::Figure rail = rail_picture(scenario, *guide.arrive, arguments);
    rail.compact = true;
    pictures.rail_svg = drawn(report::gnuplot_script(rail, report::PictureFormat::svg));
    rail_alt = rail.alt;
  }
  write_output(arguments.output, report::guide_html(scenario, guide, sources, pictures, risk_alt,
                                                    rail_alt, arguments.options, arguments.units));
  return {report::written_text(arguments.output, "")};
}

}  // namespace

extern const Command k_guide{
    .name = "guide",
    .question = "a guide for the customer: one page with steps, table, curves and cautions",
    .usage =
        "blendrisk guide SCENARIO.ini [--section.key VALUE ...] --output GUIDE.html [options]\n",
    .about =
        R"(A guide for the customer of a shop as one HTML page that needs no network and no script: what to
do step by step with this car's numbers, how much to put in for what the gauge shows and the pump
tested at, how the risk grows, how long to wait and for what reading, what was assumed and on whose
word (the comments beside the scenario's values), cautions, and the scenario itself. Its pictures
are drawn by gnuplot. SOURCE_DATE_EPOCH sets the day it says.
)",
    .options = "seed threads precision cases method units output",
    .answer = answer_guide,
    .output = ".html"};

}  // namespace blendrisk::cli
