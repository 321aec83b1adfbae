#include "decide/guide.hpp"

#include <chrono>
#include <cstdlib>
#include <ctime>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/gnuplot.hpp"
#include "cli/output.hpp"
#include "cli/rail_picture.hpp"
#include "cli/scenario_file.hpp"
#include "report/curve_text.hpp"
#include "report/guide_html.hpp"
#include "report/run_figures.hpp"
#include "report/written_text.hpp"
#include "scenario/ini.hpp"

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

}  // namespace

Answer answer_guide(const Arguments& arguments, std::ostream& /*err*/) {
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
      answered(arguments, [&] { return decide::make_guide(scenario, arguments.options, steps); });

  report::GuideSources sources;
  sources.scenario_name = file_name(arguments.scenario_path);
  sources.scenario_text = file.text();
  for (const scenario::Override& one : arguments.overrides) {
    sources.overrides.push_back({one.key, one.value});
  }
  sources.notes = scenario::comments_by_key(file.text());
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
  return {report::written_text(arguments.output, ""), k_answered};
}

}  // namespace blendrisk::cli
