#include "ask/guide.hpp"

#include <utility>

#include "answer/words.hpp"
#include "ask/rail_pictures.hpp"
#include "render/svg.hpp"

namespace blendrisk::ask {
namespace {

answer::GuideSources sources_of(const scenario::Scenario& scenario, const GuideSource& source) {
  answer::GuideSources sources{.scenario_name = source.name,
                               .scenario_text = source.text,
                               .overrides = {},
                               .notes = {},
                               .date = source.date};
  for (const scenario::Given& one : scenario.given) sources.notes[one.key] = one.comment;
  for (const scenario::Override& one : source.given) {
    sources.overrides.push_back({one.key, one.value});
    sources.notes[one.key] = answer::words("guide.assumed.option");
  }
  return sources;
}

/// A small picture.
std::string drawn(answer::Figure figure) {
  figure.compact = true;
  return render::svg(figure);
}

}  // namespace

MadeGuide made_guide(const answer::Asked& asked, const GuideSource& source) {
  const decide::GuideSteps steps{answer::dispenser_step(asked.units),
                                 answer::gauge_step(asked.units), answer::burn_step(asked.units)};
  decide::Guide guide = decide::make_guide(asked.scenario, asked.options, steps);
  answer::GuidePictures pictures;
  if (guide.curve_l.size() > 1) {
    const answer::Figure figure =
        answer::curve_figure(answer::guide_curve(asked.scenario, guide), asked.units);
    pictures.risk_svg = drawn(figure);
    pictures.risk_alt = figure.alt;
  }
  if (guide.arrive) {
    const answer::Figure figure =
        rail_picture(asked.scenario, *guide.arrive, asked.options, asked.units);
    pictures.rail_svg = drawn(figure);
    pictures.rail_alt = figure.alt;
  }
  answer::Page page = answer::page(asked, guide, sources_of(asked.scenario, source), pictures);
  return {std::move(guide), std::move(page)};
}

answer::Page guide_page(const answer::Asked& asked, const GuideSource& source) {
  return made_guide(asked, source).page;
}

render::LiveParts live_parts(const answer::Asked& asked, const GuideSource& source,
                             const std::map<std::string, std::string>& files,
                             const std::string& language) {
  using answer::Json;
  Json given = Json::array();
  for (const scenario::Override& one : source.given) given.push_back({one.key, one.value});
  const Json words(render::live_words());
  Json start{{"name", source.name},
             {"scenario", source.text},
             {"files", files},
             {"given", given},
             {"date", source.date},
             {"units", asked.units == answer::UnitSystem::us ? "us" : "metric"},
             {"seed", asked.options.seed},
             {"words", words}};
  if (!language.empty()) start["language"] = language;
  if (!asked.options.decision_serves) start["precision"] = asked.options.precision;
  if (asked.options.method == estimate::Method::crude) start["method"] = "crude";
  if (asked.options.cases) start["cases"] = *asked.options.cases;
  const std::string text = start.dump(-1, ' ', true, Json::error_handler_t::replace);
  render::LiveParts parts{.start = {},
                          .pump = answer::pump_fields(asked.scenario),
                          .done = answer::done_fields(asked.scenario),
                          .all = answer::all_fields(asked.scenario)};
  // No text may end the script that it stands in.
  for (const char c : text) c == '<' ? parts.start += "\\u003c" : parts.start += c;
  return parts;
}

}  // namespace blendrisk::ask
