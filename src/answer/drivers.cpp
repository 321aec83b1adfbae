#include "decide/drivers.hpp"

#include <algorithm>
#include <cmath>

#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "scenario/told.hpp"

namespace blendrisk::answer {
namespace {

using decide::Driver;
using decide::Drivers;
using estimate::Index;

/// A saving below this is none to speak of, in steps of the display.
constexpr double k_worth_saying = 3.0;

/// What one would do to know it.
Value deed(const std::string& key) {
  if (has_words("deed." + key)) return say("deed." + key);
  if (key.starts_with("fill-") && key.ends_with(".content")) {
    return say("deed.fill-n.content", text(key.substr(5, key.find('.') - 5)));
  }
  return say("deed", text(label(key)));
}

/// @param first  of the sentences, which says what they all rest on
Value worth(const Asked& asked, const Drivers& result, const Driver& driver, bool first) {
  const auto tell = [&](const std::string& id, const Value& what) {
    return say(first ? id + ".first" : id, deed(driver.key), what);
  };
  const double least_l = k_worth_saying * dispenser_step(asked.units);
  if (driver.margin_saved_l && *driver.margin_saved_l > least_l) {
    return tell("drivers.saves", dispenser(*driver.margin_saved_l));
  }
  if (!result.safe_amount_l && driver.safe_amount_l) {
    return tell("drivers.enough", dispenser(*driver.safe_amount_l));
  }
  if (driver.heel_gained_l && *driver.heel_gained_l >= gauge_step(asked.units)) {
    return tell("drivers.allows", gauge(*driver.heel_gained_l));
  }
  return {};
}

/// Of a fill that is done: what lowers its chance of a miss the most.
Value best_known(const Drivers& result) {
  const Driver& best = result.inputs.front();
  const bool lowers = best.chance < result.outside.chance;
  return lowers ? say("drivers.lowers", deed(best.key), chance(result.outside), chance(best.chance))
                : say("drivers.lowers.none");
}

/// Of a fill that is done.
Section chances_if_known(const Drivers& result) {
  Section section{.grid = {{35, 30}, {}, {}}, .indent = 2};
  section.grid.head = {say("drivers.known"), say("drivers.chance")};
  section.grid.lines.push_back({say("drivers.nothing"), chance(result.outside)});
  for (const Driver& driver : result.inputs) {
    section.grid.lines.push_back({text(label(driver.key)), std::isfinite(driver.chance)
                                                               ? chance(driver.chance)
                                                               : say("drivers.excluded")});
  }
  section.text = {say("drivers.legend.done")};
  return section;
}

Section table(const Asked& asked, const Drivers& result) {
  if (scenario::any_shown(asked.scenario)) return chances_if_known(result);
  Section section{.grid = {{35, 12, 12, 10}, {}, {}}, .indent = 2};
  section.grid.head = {say("drivers.known"), say("drivers.safe"), say("drivers.heel"),
                       say("drivers.alone"), say("drivers.in_all")};
  const auto amount = [](const std::optional<double>& litres, Value (*as)(double)) {
    return litres ? as(*litres) : say("none");
  };
  section.grid.lines.push_back({say("drivers.nothing"), amount(result.safe_amount_l, dispenser),
                                amount(result.highest_heel_l, gauge)});
  for (const Driver& driver : result.inputs) {
    section.grid.lines.push_back({text(label(driver.key)), amount(driver.safe_amount_l, dispenser),
                                  amount(driver.highest_heel_l, gauge),
                                  share(driver.indices.first_order), share(driver.indices.total)});
  }
  section.text = {
      say(asked.scenario.correlations.empty() ? "drivers.legend" : "drivers.legend.correlated")};
  return section;
}

Json index_members(const Index& index) {
  return Members()("value", index.value)("standard_error", index.standard_error)(
      "interval_95", Json::array({json(index.interval[0]), json(index.interval[1])}));
}

}  // namespace

Value share(const Index& index) {
  return std::isfinite(index.value) ? content(std::max(0.0, index.value), 1) : say("unknown");
}

Description described(const Asked& asked, const Drivers& result) {
  constexpr std::size_t k_most = 3;
  Description answer = opened(asked);
  for (const Driver& driver : result.inputs) {
    const bool first = answer.verdict.empty();
    const Value what = worth(asked, result, driver, first);
    if (!what || answer.ways.size() + 1 == k_most) continue;
    (first ? answer.verdict : answer.ways).push_back(what);
  }
  if (answer.verdict.empty()) {
    answer.verdict = {result.inputs.empty()                 ? say("drivers.certain")
                      : scenario::any_shown(asked.scenario) ? best_known(result)
                                                            : say("drivers.no_single")};
  }
  Section outside = chances();
  outside.rows = {{say("row.outside"), chance(result.outside)}};
  answer.sections = {table(asked, result), std::move(outside)};
  close(answer, asked, About::landing,
        {{say("row.method"),
          say(scenario::any_shown(asked.scenario) ? "drivers.method.done" : "drivers.method")},
         {say("drivers.row.chances"), text(methods_text(result.effort.methods))},
         evaluations_row(result.effort.evaluations)});
  return answer;
}

Json members(const Asked& asked, const Drivers& result) {
  const bool done = scenario::any_shown(asked.scenario);
  const std::string no_amount = done ? "none.done"_w : "none.amount"_w;
  const std::string no_reading = done ? "none.done"_w : "none.reading"_w;
  Json inputs = Json::array();
  for (const Driver& driver : result.inputs) {
    Members one;
    const bool told = std::isfinite(driver.indices.total.value);
    const auto index = [&](const Index& value) {
      return told ? std::optional<Json>(index_members(value)) : std::nullopt;
    };
    one("key", driver.key);
    one("first_order", index(driver.indices.first_order), "none.done"_w);
    one("total", index(driver.indices.total), "none.done"_w);
    one("safe_amount_if_known", driver.safe_amount_l, no_amount);
    one("highest_indicated_if_known", driver.highest_heel_l, no_reading);
    one("margin_saved", driver.margin_saved_l, "none.amount_to_compare"_w);
    one("heel_gained", driver.heel_gained_l, "none.reading_to_compare"_w);
    inputs.push_back(one("outside_if_known", driver.chance));
  }
  Members object = opening("drivers", asked, methods_text(result.effort.methods));
  object("evaluations", result.effort.evaluations)("elapsed_s", asked.elapsed_s);
  object("safe_amount", result.safe_amount_l, no_amount);
  object("highest_indicated", result.highest_heel_l, no_reading);
  object("outside", result.outside)("inputs", inputs);
  return object("accepted_risk", asked.scenario.limits.accepted_risk);
}

}  // namespace blendrisk::answer
