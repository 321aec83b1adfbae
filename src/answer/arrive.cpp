#include "decide/arrive.hpp"

#include <cmath>

#include "answer/reasons.hpp"
#include "answer/shared.hpp"
#include "answer/waiting.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using decide::ArriveResult;

/// Where so many cases show a reading, the others need no words.
constexpr double k_nearly_all = 0.99;

bool rising(const ArriveResult& result) {
  return result.arrival.target.below();
}

Value outside(const ArriveResult& result) {
  return beyond_limit(result.arrival.target);
}

bool has_sensor_error(const scenario::Scenario& scenario) {
  return !is_nothing(scenario.sensor.bias) || scenario.sensor.noise_sd > 0.0;
}

/// Cases that show a reading, as the head of a sentence. Short of all of them it never says all.
Value showing(const decide::WaitFor& wait) {
  if (wait.triggers > 0.9995) return say("arrive.all");
  if (wait.triggers >= k_nearly_all) return say("arrive.nearly_all");
  return percent(wait.triggers, 2);
}

Value wait_verdict(const Asked& asked, const ArriveResult& result) {
  const decide::WaitFor& wait = result.wait_for;
  if (wait.nothing_to_wait_for())
    return say("arrive.nothing", content(result.arrival.target.value));
  if (!wait.reading) {
    return say(result.waiting.rows.empty() ? "arrive.no_reading" : "arrive.no_single",
               text(reason(*wait.why_none)));
  }
  Value after;
  Value takes;
  if (wait.burn_l) {
    const auto& [low, middle, high] = *wait.burn_l;
    after = say("arrive.shows.burned", volume(middle), volume(low), volume(high));
  }
  if (wait.burn_l && wait.time_s) {
    const auto& [low, middle, high] = *wait.time_s;
    takes = say("arrive.shows.takes", time(middle), time(low), time(high));
  }
  const Value once =
      say(takes   ? "arrive.shows.time"
          : after ? "arrive.shows.burn"
                  : "arrive.shows",
          showing(wait), outside(result), chance(wait.too_early), accepted(asked), after, takes);
  const bool unsure = wait.alike[0] != wait.alike[1];
  const bool alone = result.waiting.rows.empty();
  const std::string id = alone ? "arrive.wait" : "arrive.single";
  return joined(
      {say(id + (rising(result) ? ".more" : ".less"), content(*wait.reading)), once,
       alone && wait.triggers < k_nearly_all ? say("arrive.not_shown", outside(result)) : Value{},
       unsure ? say("arrive.alike", content(wait.alike[0]), content(wait.alike[1])) : Value{},
       has_sensor_error(asked.scenario) || !alone ? Value{} : say("arrive.exact_sensor")});
}

Value table_verdict(const Asked& asked, const ArriveResult& result) {
  return joined({say(rising(result) ? "arrive.table.more" : "arrive.table.less"),
                 has_sensor_error(asked.scenario) ? Value{} : say("arrive.exact_sensor")});
}

/// With both limits, where the other one is missed too often.
Value other_verdict(const Asked& asked, const ArriveResult& result) {
  const auto& other = result.beyond_other;
  if (!other || other->chance <= asked.scenario.limits.accepted_risk) return {};
  return say(rising(result) ? "arrive.other.above" : "arrive.other.below",
             content(result.other_limit), chance(*other), accepted(asked));
}

Value burn_verdict(const Asked& asked, const ArriveResult& result) {
  const decide::EnoughBurn& enough = result.enough;
  if (!enough.burn_l) return say("arrive.no_burn", text(reason(*enough.why_none)));
  const Value head =
      say(enough.time_s ? "arrive.burn.time" : "arrive.burn", volume(*enough.burn_l),
          outside(result), chance(enough.outside), enough.time_s ? time(*enough.time_s) : Value{});
  // At 95 %, once that is more than the display's half step.
  const double step = burn_step(asked.units);
  if (!(2.0 * enough.standard_error_l > 0.5 * step)) return head;
  const double steps = std::ceil(2.0 * enough.standard_error_l / step);
  return joined({head, say("arrive.give_or_take", volume(steps * step))});
}

Section arrival_section(const ArriveResult& result) {
  const line::Arrival& arrival = result.arrival;
  Section section{.heading = say(rising(result) ? "arrive.until.least" : "arrive.until.most",
                                 content(arrival.target.value)),
                  .columns = 26};
  if (arrival.burn_l) {
    const auto& burn = *arrival.burn_l;
    Value middle = say("burned", volume(burn[2]));
    Value ends = say("range", volume(burn[0]), volume(burn[4]));
    if (arrival.time_s) {
      const auto& times = *arrival.time_s;
      middle = say("both", middle, time(times[2]));
      ends = say("both", ends, say("range", time(times[0]), time(times[4])));
    }
    section.rows = {{say("row.median"), middle}, {say("arrive.row.middle"), ends}};
  } else {
    section.rows = {{say("arrive.row.burned"), say("arrive.hardly_any")}};
  }
  section.rows.push_back({say("arrive.row.never"), text(shown(chance(arrival.never)))});
  return section;
}

Section rail_section(const ArriveResult& result) {
  Section section{.heading = say("arrive.rail", outside(result))};
  const bool has_time = result.arrival.has_time;
  section.grid.widths.assign({10});
  if (has_time) section.grid.widths.push_back(12);
  for (const line::RailPoint& point : result.arrival.rail) {
    section.grid.lines.push_back({volume(point.burn_l)});
    auto& line = section.grid.lines.back();
    if (has_time) line.push_back(point.time_s ? time(*point.time_s) : say("unknown"));
    line.push_back(chance(point.outside));
  }
  return section;
}

std::string method_of(const line::Arrival& arrival) {
  const estimate::Methods& methods = arrival.effort.methods;
  return methods.points ? "method.points.alone"_w : methods_text(methods);
}

std::vector<Value> notes(const Asked& asked, const ArriveResult& result) {
  std::vector<Value> all;
  if (!has_sensor_error(asked.scenario)) all.push_back(say("note.exact_sensor"));
  if (!result.arrival.has_time) all.push_back(say("note.no_time"));
  for (const estimate::Clamped& held : result.arrival.held) all.push_back(held_note(held));
  return all;
}

/// The middle and the ends of what is told of the cases that show a reading.
std::optional<Json> shown_quantiles(const std::optional<std::array<double, 3>>& values) {
  if (!values) return {};
  const auto& [low, middle, high] = *values;
  return Members()("quantiles", Json(Members()("0.05", low)("0.5", middle)("0.95", high)));
}

Json wait_members(const ArriveResult& result) {
  const decide::WaitFor& wait = result.wait_for;
  const std::string hardly = "none.hardly_shows"_w;
  Members object;
  if (!wait.reading) {
    const std::string why = reason(*wait.why_none);
    for (const char* key : {"reading", "guard_band", "too_early"}) object(key, wait.reading, why);
    return object;
  }
  object("reading", *wait.reading);
  object("guard_band", wait.guard_band)("too_early", wait.too_early);
  object("triggers", wait.triggers)("alike", Json(wait.alike));
  object("burn", shown_quantiles(wait.burn_l), hardly);
  return object("time", shown_quantiles(wait.time_s),
                result.arrival.has_time ? hardly : "none.rate"_w);
}

Json enough_members(const decide::EnoughBurn& enough) {
  Members object;
  if (!enough.burn_l) return object("burn", enough.burn_l, reason(*enough.why_none));
  object("burn", *enough.burn_l);
  object("time", enough.time_s, "none.rate"_w)("outside", enough.outside);
  return object("burn_standard_error", enough.standard_error_l);
}

}  // namespace

Description described(const Asked& asked, const ArriveResult& result) {
  Description answer = opened(asked);
  const Value other = other_verdict(asked, result);
  const bool table = !result.waiting.rows.empty();
  const Value first = table ? table_verdict(asked, result) : wait_verdict(asked, result);
  answer.verdict = {other ? other : first};
  if (other) answer.sections.push_back({.text = {first}});
  if (table) {
    answer.sections.push_back(waiting_section(result));
    answer.sections.push_back({.text = {waiting_followed(asked, result)}});
    answer.sections.push_back({.text = {wait_verdict(asked, result)}});
  }
  answer.sections.push_back({.text = {burn_verdict(asked, result)}});
  answer.sections.push_back(arrival_section(result));
  if (result.gap) answer.sections.push_back(gap_section(asked, result));
  answer.sections.push_back(rail_section(result));
  std::vector<Row> computed{method_row(method_of(result.arrival))};
  if (!result.arrival.conditioned_on.empty()) {
    computed.push_back({say("row.conditioned"), conditioned(result.arrival.conditioned_on)});
  }
  computed.push_back(evaluations_row(result.effort.evaluations));
  close(answer, asked, About::line, std::move(computed), notes(asked, result));
  return answer;
}

Json members(const Asked& asked, const ArriveResult& result) {
  const line::Arrival& arrival = result.arrival;
  const std::string hardly = "none.hardly_arrives"_w;
  Json points = Json::array();
  for (const line::RailPoint& point : arrival.rail) {
    points.push_back(Members()("burn", point.burn_l)("time", point.time_s, "none.rate"_w)(
        "estimate", point.outside));
  }
  Members object = opening("arrive", asked, method_of(arrival));
  object.text("conditioned_on", arrival.conditioned_on, "none.conditioned"_w);
  object("evaluations", result.effort.evaluations)("elapsed_s", asked.elapsed_s);
  object("side", rising(result) ? "below" : "above")("limit", arrival.target.value);
  object("never", arrival.never)("burn", quantiles(arrival.burn_l), hardly);
  object("time", quantiles(arrival.time_s), arrival.has_time ? hardly : "none.rate"_w);
  object(rising(result) ? "rail_below" : "rail_above", points);
  object("waiting", waiting_members(result));
  object("wait_for", wait_members(result))("enough", enough_members(result.enough));
  object("gap", gap_members(result), "none.before"_w);
  object("beyond_other", with(result.beyond_other, "limit", result.other_limit),
         "none.other_limit"_w);
  object("met", result.met)("accepted_risk", asked.scenario.limits.accepted_risk)(
      "notes", shown_all(notes(asked, result)));
  return object;
}

}  // namespace blendrisk::answer
