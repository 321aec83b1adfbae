#include "decide/guide.hpp"

#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <tuple>

#include "answer/curve.hpp"
#include "answer/guide.hpp"
#include "answer/run_figures.hpp"
#include "cli/answering.hpp"
#include "cli/rail_picture.hpp"
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

/// A small picture and what it shows in words.
std::pair<std::string, std::string> drawn_small(answer::Figure figure) {
  figure.compact = true;
  return {drawn(render::gnuplot_script(figure, render::PictureFormat::svg)), figure.alt};
}

Answer answer_guide(const Call& call) {
  const Arguments& arguments = call.arguments;
  if (arguments.output.empty()) {
    throw Error("guide: --output is needed, a name ending in .html");
  }
  const ScenarioFile file(arguments.scenario_path);
  const scenario::Scenario scenario = file.read(arguments.overrides);
  const decide::GuideSteps steps{answer::dispenser_step(arguments.units),
                                 answer::gauge_step(arguments.units),
                                 answer::burn_step(arguments.units)};
  const decide::Guide guide = computed({arguments.scenario_path}, [&] {
    return decide::make_guide(scenario, arguments.options, steps);
  });

  answer::GuideSources sources;
  sources.scenario_name = std::filesystem::path(arguments.scenario_path).filename();
  sources.scenario_text = file.text();
  for (const scenario::Given& one : scenario.given) sources.notes[one.key] = one.comment;
  for (const scenario::Override& one : arguments.overrides) {
    sources.overrides.push_back({one.key, one.value});
    sources.notes[one.key] = answer::words("guide.assumed.option");
  }
  sources.date = date_today();

  answer::GuidePictures pictures;
  if (guide.curve_l.size() > 1) {
    std::tie(pictures.risk_svg, pictures.risk_alt) =
        drawn_small(answer::curve_figure(answer::guide_curve(scenario, guide), arguments.units));
  }
  if (guide.arrive) {
    std::tie(pictures.rail_svg, pictures.rail_alt) =
        drawn_small(rail_picture(scenario, *guide.arrive, arguments));
  }
  const answer::Asked asked{scenario, arguments.options, arguments.units};
  write_output(arguments.output,
               render::page(answer::page(asked, guide, sources, pictures), arguments.units));
  return {render::written_text(arguments.output, {}, arguments.units)};
}

}  // namespace

extern const Command k_guide{
    .name = "guide",
    .question = "a guide for the customer: one page with steps, table, curves and cautions",
    .usage = "SCENARIO.ini [--section.key VALUE ...] --output GUIDE.html [options]",
    .about =
        R"(A guide for the customer of a shop as one HTML page that needs no network and no script: what to
do step by step with this car's numbers, how much to put in for what the gauge shows and the pump
tested at, how the risk grows, how long to wait and for what reading, what was assumed and on whose
word (the comments beside the scenario's values), cautions, and the scenario itself. Of several
fills it tells each, what the tank then holds and which calibration suits that, in place of the
table. Its pictures are drawn by gnuplot. SOURCE_DATE_EPOCH sets the day it says.
)",
    .options = "seed threads precision cases method units output",
    .answer = answer_guide,
    .output = ".html"};

}  // namespace blendrisk::cli
