#include "answer/live.hpp"

#include <algorithm>

#include "answer/shared.hpp"
#include "answer/waiting.hpp"
#include "answer/words.hpp"
#include "decide/arrive.hpp"
#include "decide/guide.hpp"
#include "line/sensor_posterior.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::answer {
namespace {

Block paragraph(const Value& value, const std::string& style = {}) {
  return {.style = style, .values = {value}};
}

std::string section_of(std::size_t fill) {
  return fill == 0 ? "" : "fill-" + std::to_string(fill + 1) + ".";
}

/// The key of a fill's fuel or of its filling: "fuel.content", "fill-2.content".
std::string key_of_fill(const std::string& first, std::size_t fill, const std::string& name) {
  return (fill == 0 ? first + "." : section_of(fill)) + name;
}

const scenario::Given* given_of(const scenario::Scenario& scenario, const std::string& key) {
  const auto found = std::find_if(scenario.given.begin(), scenario.given.end(),
                                  [&](const scenario::Given& one) { return one.key == key; });
  return found == scenario.given.end() ? nullptr : &*found;
}

LiveField field(const scenario::Scenario& scenario, const std::string& key) {
  const scenario::Given* given = given_of(scenario, key);
  LiveField made{.key = key, .value = given ? given->value : "", .label = text(label(key))};
  const scenario::Key* known = scenario::find_key(key);
  if (known->kind == scenario::Kind::stopped_by) made.choices = {"", "click-off", "hand"};
  if (known->kind == scenario::Kind::pipe_flow) made.choices = {"", "laminar", "plug"};
  made.fallback = absent(*known);
  return made;
}

LiveField field(const scenario::Scenario& scenario, const std::string& key, const Value& said) {
  LiveField made = field(scenario, key);
  made.label = said;
  return made;
}

/// How the last fill is planned.
Value plan(const Asked& asked) {
  const auto& amount = asked.scenario.fills.back().amount_l;
  return amount ? dispenser(*amount) : say("live.plan.up");
}

}  // namespace

std::vector<LiveField> pump_fields(const scenario::Scenario& scenario) {
  std::vector<LiveField> fields;
  for (const char* key : {"heel.indicated", "heel.now", "heel.distance-left"}) {
    if (given_of(scenario, key)) fields.push_back(field(scenario, key));
  }
  for (std::size_t fill = 0; fill < scenario.fills.size(); ++fill) {
    const bool one = scenario.fills.size() == 1;
    fields.push_back(field(scenario, key_of_fill("fuel", fill, "content"),
                           one ? say("live.tested") : say("live.tested.of", count(fill + 1))));
  }
  return fields;
}

std::vector<LiveField> done_fields(const scenario::Scenario& scenario) {
  std::vector<LiveField> fields;
  for (std::size_t fill = 0; fill < scenario.fills.size(); ++fill) {
    for (const char* name : {"shown", "stopped-by"}) {
      fields.push_back(field(scenario, key_of_fill("fill", fill, name)));
    }
  }
  return fields;
}

std::vector<LiveSection> all_fields(const scenario::Scenario& scenario) {
  std::vector<LiveSection> sections;
  for (const scenario::Key& key : scenario::keys()) {
    if (key.section.starts_with("fill-") &&
        std::stoul(key.section.substr(5)) > scenario.fills.size()) {
      continue;
    }
    if (sections.empty() || sections.back().name != key.section) {
      sections.push_back({key.section, {}});
    }
    sections.back().fields.push_back(field(scenario, key.full_name()));
  }
  return sections;
}

std::vector<Block> live_legs(const Asked& asked, const estimate::ChanceResult& result) {
  if (result.between.empty() || asked.scenario.fills.back().shown_l) return {};
  decide::Guide guide;
  guide.chance = result;
  guide.legs = decide::run_on(result.between);
  std::vector<Block> blocks{paragraph(say("live.legs"))};
  for (const Value& reason : leg_reasons(guide)) blocks.push_back(paragraph(reason, "warn"));
  blocks.push_back(
      {.kind = Block::Kind::steps, .style = "steps", .values = leg_steps(asked, guide)});
  return blocks;
}

std::vector<Block> live(const Asked& asked, const estimate::ChanceResult& result) {
  const bool done = asked.scenario.fills.back().shown_l.has_value();
  const std::string id = done ? "live.chance.done" : "live.chance";
  const Value outside = chance(result.outside).from("chance/outside/chance");
  std::vector<Block> blocks{paragraph(
      say(result.met ? id + ".met" : id + ".missed", outside, accepted(asked), plan(asked)),
      result.met ? "" : "warn")};
  if (!done && !result.dry_met) {
    blocks.push_back(paragraph(joined({say(of_fills(asked, "guide.no_plan.dry"),
                                           chance(result.run_dry).from("chance/run_dry/chance")),
                                       say("dry.what")}),
                               "warn"));
  }
  const auto landed = [&](std::size_t i, const std::string& order) {
    return content(result.landed.quantiles[i], 1).from("chance/landed/quantiles/" + order);
  };
  blocks.push_back(paragraph(
      say("guide.risk.landed", landed(2, "0.5"), landed(0, "0.025"), landed(4, "0.975"))));
  return blocks;
}

std::vector<Block> live(const Asked& asked, const decide::FillResult& result) {
  if (!result.safe_amount_l) return {paragraph(say("live.put.none"), "big warn")};
  const bool nothing = *result.safe_amount_l == 0.0;
  const std::string id = nothing ? "live.put.nothing" : "live.put";
  Value put =
      say(result.largest_amount_l ? id + ".largest" : id,
          dispenser(*result.safe_amount_l).from("fill/safe_amount"),
          result.largest_amount_l ? dispenser(*result.largest_amount_l).from("fill/largest_amount")
                                  : Value{});
  std::vector<Block> blocks{paragraph(put, "big")};
  if (result.again_from_l) {
    blocks.push_back(
        paragraph(say("live.put.again", dispenser(*result.again_from_l).from("fill/again_from"))));
  }
  blocks.push_back(paragraph(say("guide.fill.clicks"), "soft"));
  if (asked.scenario.fills.size() > 1) blocks.push_back(paragraph(say("live.put.last"), "soft"));
  return blocks;
}

std::vector<Block> live(const Asked& asked, const decide::ArriveResult& result) {
  const decide::WaitFor& wait = result.wait_for;
  if (wait.nothing_to_wait_for()) return {paragraph(say("guide.wait.nothing"))};
  std::vector<Block> blocks{
      paragraph(joined({waiting_step(asked, result), gap_step(asked, result)}))};
  if (!result.waiting.rows.empty()) {
    blocks.push_back(waiting_table(result.arrival, result.waiting));
  }
  return blocks;
}

std::vector<Block> live(const Asked& asked, const Updated& updated) {
  const line::Posterior& result = updated.posterior;
  std::vector<Block> blocks{paragraph(say(result.met ? "live.switch" : "live.not_yet"),
                                      result.met ? "verdict go" : "verdict stay")};
  for (const Value& one : described(asked, updated).verdict) blocks.push_back(paragraph(one));
  const auto now = [&](std::size_t i, const std::string& order) {
    return content(result.rail_now[i], 1).from("update/rail_now/quantiles/" + order);
  };
  blocks.push_back(paragraph(say("live.now", now(2, "0.5"), now(0, "0.025"), now(4, "0.975"))));
  for (const Value& note : update_notes(asked, result)) blocks.push_back(paragraph(note, "soft"));
  if (result.met) blocks.push_back(paragraph(say("caution.short"), "warn"));
  return blocks;
}

std::string scenario_text(const scenario::Scenario& scenario) {
  std::string all, section;
  for (const scenario::Given& one : scenario.given) {
    const std::size_t dot = one.key.find('.');
    const std::string of = dot == std::string::npos ? "" : one.key.substr(0, dot);
    if (of != section) all += "\n[" + (section = of) + "]\n";
    // A rank correlation is given as reports tell it, "0.9 of A and B".
    const std::string value =
        of == "correlation" ? one.value.substr(0, one.value.find(' ')) : one.value;
    all += one.key.substr(dot == std::string::npos ? 0 : dot + 1) + " = " + value;
    all += one.comment.empty() ? "\n" : "  # " + one.comment + "\n";
  }
  return all;
}

}  // namespace blendrisk::answer
