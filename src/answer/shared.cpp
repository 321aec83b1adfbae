#include "answer/shared.hpp"

#include <algorithm>
#include <cmath>

#include "answer/between_fills.hpp"
#include "answer/words.hpp"
#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"
#include "scenario/way.hpp"

namespace blendrisk::answer {
namespace {

/// Decimals of a percent that show two digits of the spread.
int content_decimals(double standard_deviation) {
  const double percent = 100.0 * standard_deviation;
  if (!(percent > 1e-6) || percent >= 1.0) return 1;
  return static_cast<int>(std::min(1.0 - std::floor(std::log10(percent)), 6.0));
}

bool bears_on(std::string_view key, About about) {
  if (key == "title" || key.ends_with(".price") || key.starts_with("tester.") ||
      key.starts_with("policy.")) {
    return false;
  }
  if (about == About::line || about == About::nothing) return about == About::line;
  if (scenario::is_correlation(key)) {
    const auto [first, second] = scenario::correlated_keys(key);
    return bears_on(first, about) && bears_on(second, about);
  }
  if (scenario::is_of_way(key)) return true;
  if (key.starts_with("before.")) return about == About::between;
  for (const char* section : {"line.", "engine."}) {
    if (key.starts_with(section)) return false;
  }
  return key != "sensor.noise" && key != "sensor.step" && key != "sensor.lag";
}

Section assumed(const Asked& asked, About about, const std::vector<std::string>& without) {
  Section section{.heading = say("heading.assumed"), .columns = k_label_columns};
  const auto add = [&](const scenario::Given& one, const Value& value) {
    if (std::count(without.begin(), without.end(), one.key) > 0) return;
    // The names of two inputs may take two lines.
    section.rows.push_back({text(label(one.key)), value, !scenario::is_correlation(one.key)});
  };
  // A reading at the pump that varies takes the place of the way there.
  const bool at_pump = std::count(without.begin(), without.end(), "heel.indicated") > 0;
  for (const scenario::Given& one : asked.scenario.given) {
    if (at_pump && scenario::is_of_way(one.key)) continue;
    if (bears_on(one.key, about)) add(one, given_value(one));
  }
  for (const scenario::Given& one : asked.scenario.defaults) {
    add(one, say("assumed.default", default_value(one)));
  }
  return section;
}

}  // namespace

Description opened(const Asked& asked) {
  return {asked.scenario.title, {}, {}, {}};
}

Section chances() {
  return {.heading = say("heading.chances"), .columns = k_chance_columns};
}

std::vector<Row> limit_rows(const std::string& id, const scenario::Limits& limits,
                            const std::optional<estimate::Estimate>& below,
                            const std::optional<estimate::Estimate>& above) {
  std::vector<Row> rows;
  for (const estimate::Limit& limit : estimate::limits_of(limits)) {
    const auto& chance_of = limit.below() ? below : above;
    if (!chance_of) continue;
    rows.push_back({say(id + (limit.below() ? ".below" : ".above"), content(limit.value)),
                    chance(*chance_of)});
  }
  return rows;
}

Row running_dry(const Asked& asked, const estimate::Estimate& estimate) {
  return {say("row.dry", volume(asked.scenario.tank.pickup_floor_l)), chance(estimate)};
}

Section landed_section(std::string_view heading, const estimate::Landed& landed) {
  const int decimals = content_decimals(landed.standard_deviation);
  const auto shown = [&](double fraction) { return content(fraction, decimals); };
  return {.heading = say(heading),
          .columns = 26,
          .rows = {{say("row.mean"), shown(landed.mean)},
                   {say("row.sd"), shown(landed.standard_deviation)},
                   {say("row.median"), shown(landed.quantiles[2])},
                   {say("row.middle"),
                    say("range", shown(landed.quantiles[0]), shown(landed.quantiles[4]))}}};
}

Value told(const estimate::Learned& learned) {
  const auto& heel = learned.heel_after_l;
  return say("chance.told", volume(heel[2]), volume(heel[0]), volume(heel[4]),
             volume(learned.heel_before_l[2]));
}

Value dry_warning(const Asked& asked, const estimate::ChanceResult& result) {
  if (result.dry_met) return {};
  return joined(
      {say("dry.too_often", chance(result.run_dry), percent(asked.scenario.limits.dry_risk)),
       say("dry.what")});
}

void close(Description& description, const Asked& asked, About about, std::vector<Row> computed,
           std::vector<Value> notes, const std::vector<std::string>& without) {
  const auto add = [&](Section section) {
    if (!section.rows.empty() || !section.items.empty()) {
      description.sections.push_back(std::move(section));
    }
  };
  Section measured{.heading = say("heading.measured")};
  if (about != About::nothing) add(assumed(asked, about, without));
  for (const scenario::Measured& input : scenario::measured(asked.scenario)) {
    if (bears_on(input.key, about)) measured.items.push_back(measured_note(input));
  }
  add(std::move(measured));
  computed.push_back({say("row.seed"), count(asked.options.seed)});
  add({.heading = say("heading.computed"), .rows = std::move(computed)});
  add({.heading = say("heading.notes"), .items = std::move(notes)});
  Section last{.heading = say("heading.cautions")};
  for (const std::string& caution : cautions()) last.items.push_back(text(caution));
  add(std::move(last));
}

Section what_would_do(std::vector<Value> ways) {
  if (ways.empty()) ways.push_back(say("ways.none"));
  return {.heading = say("heading.ways"), .items = std::move(ways)};
}

Value two_fills(const scenario::Scenario& scenario, const Value& first, const Value& second,
                const std::vector<estimate::Leg>& between) {
  // Less old fuel is only farther from the one limit; with two it may miss the other.
  const bool limits = scenario.limits.minimum && scenario.limits.maximum;
  const std::string from = first ? "ways.two.from" : "ways.two.here";
  return joined({say(from + (limits ? ".limits" : ""), first, second),
                 between.empty() ? say("between_fills") : held_between(between.front())});
}

Value amounts(double least_l, const std::optional<double>& largest_l) {
  if (!largest_l) return dispenser(least_l);
  return say("range", dispenser(least_l).without_unit(), dispenser(*largest_l));
}

std::string methods_text(const estimate::Methods& methods) {
  std::string all;
  for (const auto& [used, id] :
       {std::pair{methods.exact, "method.exact"},
        std::pair{methods.conditional, "method.conditional"},
        std::pair{methods.points, "method.points"}, std::pair{methods.crude, "method.crude"}}) {
    if (used) all = all.empty() ? words(id) : filled(words("and"), {all, std::string(words(id))});
  }
  return all;
}

std::string method_of(const Asked& asked, const estimate::ChanceResult& result) {
  const bool asked_for = asked.options.method == estimate::Method::crude;
  return result.effort.methods.crude && !asked_for ? "method.crude.fallback"_w
                                                   : methods_text(result.effort.methods);
}

Row method_row(const std::string& method) {
  return {say("row.method"), text(method)};
}

Row evaluations_row(std::uint64_t evaluations) {
  return {say("row.evaluations"), count(evaluations)};
}

Value conditioned(const std::string& key) {
  const std::string in_words = label(key);
  return in_words == key ? text(key) : say("conditioned", text(key), text(in_words));
}

Value held_note(const estimate::Clamped& held) {
  return say("note.held", text(held.key), percent(held.share, 2));
}

Value measured_note(const scenario::Measured& input) {
  return say("note.measured", count(input.count), text(input.key), percent(input.share(), 2));
}

Value given_value(const scenario::Given& one) {
  if (!scenario::is_correlation(one.key)) return given(one.value);
  // It is told as "0.9 of A and B".
  const auto [first, second] = scenario::correlated_keys(one.key);
  return say("given.correlation", given(one.value.substr(0, one.value.find(' '))), text(first),
             text(second));
}

Value default_value(const scenario::Given& one) {
  const scenario::Key* key = scenario::find_key(one.key);
  return key->default_text.empty() ? text(absent(*key)) : given(one.value);
}

Value margin(std::string_view id, double margin_l, UnitSystem units) {
  const Value size = dispenser(std::abs(margin_l));
  // As it is shown: a hair of rounding is no margin.
  const bool none = shown(size, units) == shown(dispenser(0.0), units);
  return say(std::string(id) + (none ? ".none" : margin_l > 0.0 ? ".more" : ".less"), size);
}

}  // namespace blendrisk::answer
