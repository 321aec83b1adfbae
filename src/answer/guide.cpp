#include "answer/guide.hpp"

#include <cmath>

#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "scenario/way.hpp"
#include "version.hpp"

namespace blendrisk::answer {
namespace {

/// A word of a command that someone may paste into a shell: quoted where it is not plain.
std::string shell_word(const std::string& word) {
  constexpr std::string_view k_plain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-/";
  // In front of a name that would be an option.
  const std::string text = (word.starts_with('-') ? "./" : "") + word;
  if (text.find_first_not_of(k_plain) == std::string::npos) return text;
  if (text.find_first_of("\"$`\\!") == std::string::npos) return '"' + text + '"';
  std::string quoted = "'";
  for (const char c : text) quoted += c == '\'' ? "'\\''" : std::string(1, c);
  return quoted + "'";
}

std::string command(const Asked& asked, const GuideSources& sources) {
  std::string command = "blendrisk guide " + shell_word(sources.scenario_name);
  for (const scenario::Given& one : sources.overrides) {
    command += " --" + one.key + " " + shell_word(one.value);
  }
  if (asked.units == UnitSystem::us) command += " --units us";
  if ("language.tag"_w != english("language.tag")) command += " --language " + "language.name"_w;
  return command + " --seed " + std::to_string(asked.options.seed) + " --output guide.html";
}

Value limits(const scenario::Limits& limits) {
  if (limits.minimum && limits.maximum) {
    return say("range", content(*limits.minimum), content(*limits.maximum));
  }
  return limits.minimum ? say("guide.at_least", content(*limits.minimum))
                        : say("guide.at_most", content(*limits.maximum));
}

Block picture(const std::string& svg, const std::string& alt, std::string_view caption) {
  return {.kind = Block::Kind::picture, .values = {say(caption)}, .svg = svg, .alt = alt};
}

PageSection risk(const Asked& asked, const decide::Guide& guide, const GuidePictures& pictures) {
  const estimate::ChanceResult& result = guide.chance;
  const auto landed = [&](std::size_t i, const std::string& order) {
    return content(result.landed.quantiles[i], 1).from("chance/landed/quantiles/" + order);
  };
  if (guide.done) {
    return {.id = "landed",
            .blocks = {{.values = {joined({say("guide.risk.done", limits(asked.scenario.limits),
                                               chance(result.outside).from("chance/outside/chance"),
                                               accepted(asked)),
                                           say("guide.risk.landed", landed(2, "0.5"),
                                               landed(0, "0.025"), landed(4, "0.975"))})}}}};
  }
  return {
      .id = "risk",
      .blocks = {
          {.values = {joined(
               {say(scenario::is_on_the_way(asked.scenario) ? "guide.risk.way" : "guide.risk",
                    planned_reading(asked), limits(asked.scenario.limits),
                    chance(result.outside).from("chance/outside/chance"), accepted(asked)),
                say("guide.risk.landed", landed(2, "0.5"), landed(0, "0.025"),
                    landed(4, "0.975"))})}},
          picture(pictures.risk_svg, pictures.risk_alt, of_fills(asked, "guide.risk.caption"))}};
}

PageSection line(const decide::Guide& guide, const GuidePictures& pictures) {
  Value text = say("guide.line.hardly_any");
  if (const auto& burn = guide.arrive->arrival.burn_l) {
    const auto burned = [&](std::size_t i, const std::string& order) {
      return volume((*burn)[i]).from("arrive/burn/quantiles/" + order);
    };
    text = say("guide.line", burned(2, "0.5"), burned(0, "0.025"), burned(4, "0.975"));
  }
  return {.id = "line",
          .blocks = {{.values = {text}},
                     picture(pictures.rail_svg, pictures.rail_alt, "guide.line.caption")}};
}

PageSection assumed(const Asked& asked, const GuideSources& sources) {
  Block table{
      .kind = Block::Kind::table,
      .style = "assumed",
      .head = {say("guide.assumed.what"), say("guide.assumed.as"), say("guide.assumed.word")}};
  const auto add = [&](const scenario::Given& one, const Value& value, const Value& note) {
    table.rows.push_back({text(label(one.key)), value, note});
  };
  for (const scenario::Given& one : asked.scenario.given) {
    if (one.key == "title") continue;
    const auto note = sources.notes.find(one.key);
    add(one, given_value(one), note == sources.notes.end() ? Value{} : text(note->second));
  }
  for (const scenario::Given& one : asked.scenario.defaults) {
    add(one, default_value(one), say("guide.assumed.default"));
  }
  return {.id = "assumed", .blocks = {std::move(table)}};
}

}  // namespace

CurveView guide_curve(const scenario::Scenario& scenario, const decide::Guide& guide) {
  CurveView view;
  view.scenario = scenario;
  view.along.key = "heel.indicated";
  view.values = guide.curve_l;
  view.points = guide.curve;
  view.crossings = {guide.crossings};
  return view;
}

Value planned_reading(const Asked& asked) {
  return planned_reading(asked, std::max(scenario::reading_at_pump(asked.scenario), 0.0));
}

Value planned_reading(const Asked& asked, double reading_l) {
  const double steps = reading_l / gauge_step(asked.units);
  return std::abs(steps - std::round(steps)) < 1e-6 ? gauge(reading_l) : volume(reading_l);
}

Value heel_reading(const std::string& member, double reading_l) {
  return gauge(reading_l).from("heel/" + member);
}

Value fill_amounts(const decide::FillResult& fill) {
  const Value least = dispenser(*fill.safe_amount_l).from("fill/safe_amount");
  if (!fill.largest_amount_l) return least;
  return say("range", least.without_unit(),
             dispenser(*fill.largest_amount_l).from("fill/largest_amount"));
}

Page page(const Asked& asked, const decide::Guide& guide, const GuideSources& sources,
          const GuidePictures& pictures) {
  Page page{.title = asked.scenario.title,
            .about = say("guide.about", text(sources.date), text(k_version), accepted(asked)),
            .sections = {},
            .command = command(asked, sources),
            .scenario = sources.scenario_text};
  page.sections = {guide_steps(asked, guide)};
  if (!guide.done && asked.scenario.fills.size() == 1)
    page.sections.push_back(guide_amounts(asked, guide));
  page.sections.push_back(risk(asked, guide, pictures));
  if (guide.arrive && !has_changed(guide)) page.sections.push_back(line(guide, pictures));
  page.sections.push_back(assumed(asked, sources));
  Block items{.kind = Block::Kind::items};
  for (const std::string& caution : cautions()) items.values.push_back(text(caution));
  page.sections.push_back({.id = "cautions", .blocks = {std::move(items)}});
  return page;
}

}  // namespace blendrisk::answer
