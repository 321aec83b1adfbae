#include "answer/between_fills.hpp"
#include "answer/reasons.hpp"
#include "answer/shared.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using estimate::ChanceResult;
using estimate::Stop;

Value verdict(const Asked& asked, const ChanceResult& result) {
  const estimate::Estimate& outside = result.outside;
  const bool exact = result.effort.stop == Stop::exact;
  std::string id = result.met ? "chance.within" : "chance.above";
  if (!result.clearly && !exact) id += ".unclear";
  const bool alone = exact || outside.upper_bound_only;
  const Value head =
      say(id, accepted(asked),
          alone ? chance(outside) : say("chance.interval", chance(outside), interval(outside)));
  if (exact) return head;
  if (result.clearly) {
    return joined({head, say(result.met ? "chance.clearly.within" : "chance.clearly.above")});
  }
  if (outside.few_values) return joined({head, say("chance.few")});
  return joined(
      {head, say(asked.options.cases ? "chance.undecided.cases" : "chance.undecided.precision")});
}

Value stopped_because(const Asked& asked, const ChanceResult& result) {
  const Value precision = percent(asked.options.precision);
  if (result.outside.few_values) return say("chance.stopped.few");
  if (result.effort.stop == Stop::exact) return say("chance.stopped.exact");
  if (result.effort.stop == Stop::precision_reached)
    return say("chance.stopped.precision", precision);
  if (result.effort.stop == Stop::decision_served) return say("chance.stopped.served");
  if (asked.options.cases) return say("chance.stopped.cases", count(*asked.options.cases));
  return say("chance.stopped.budget", precision);
}

std::vector<Row> computed(const Asked& asked, const ChanceResult& result) {
  std::vector<Row> rows;
  const estimate::Estimate& outside = result.outside;
  rows.push_back(method_row(method_of(asked, result)));
  if (!result.conditioned_on.empty()) {
    rows.push_back({say("row.conditioned"), conditioned(result.conditioned_on)});
  }
  if (result.effort.tilted) rows.push_back({say("chance.row.points"), say("chance.points.tilted")});
  rows.push_back(evaluations_row(result.effort.evaluations));
  if (result.effort.stop != Stop::exact) {
    const Value error = percent(outside.standard_error, 2);
    const bool relative = outside.chance > 0.0 && outside.standard_error > 0.0;
    rows.push_back({say("chance.row.error"),
                    relative ? say("chance.error.relative", error,
                                   percent(outside.standard_error / outside.chance, 2))
                             : say("chance.error", error)});
  }
  rows.push_back({say("chance.row.stopped"), stopped_because(asked, result)});
  return rows;
}

/// Some quantile moves by more than 0.003 % or so from seed to seed.
bool is_rough(const estimate::Landed& landed) {
  return landed.error > 3e-5;
}

std::vector<Value> notes(const ChanceResult& result) {
  std::vector<Value> all;
  for (const estimate::LessSure& side : result.less_sure) all.push_back(said(side));
  for (const estimate::Clamped& held : result.held) all.push_back(held_note(held));
  if (is_rough(result.landed)) {
    all.push_back(say("note.landed", percent(result.landed.error, 1)));
  }
  return all;
}

Section told_section(const estimate::Learned& learned, const estimate::Landed& landed) {
  const auto in_percent = [](double fraction) { return content(fraction, 1); };
  return {
      .heading = say("chance.told.heading"),
      .columns = 26,
      .rows = {{say("chance.told.heel.before"), middle_and_range(volume, learned.heel_before_l)},
               {say("chance.told.heel.after"), middle_and_range(volume, learned.heel_after_l)},
               {say("chance.told.landed.before"),
                middle_and_range(in_percent, learned.landed_before.quantiles)},
               {say("chance.told.landed.after"), middle_and_range(in_percent, landed.quantiles)}}};
}

std::string stop_word(Stop stop) {
  return stop == Stop::exact               ? "stop.exact"_w
         : stop == Stop::precision_reached ? "stop.precision"_w
         : stop == Stop::decision_served   ? "stop.served"_w
                                           : "stop.budget"_w;
}

}  // namespace

Description described(const Asked& asked, const ChanceResult& result) {
  Description answer = opened(asked);
  answer.verdict = {verdict(asked, result), dry_warning(asked, result)};
  if (result.learned) answer.verdict.push_back(told(*result.learned));
  Section table = chances();
  table.rows = limit_rows("row", asked.scenario.limits, result.below_minimum, result.above_maximum);
  table.rows.push_back({say("row.outside"), chance(result.outside)});
  if (asked.scenario.tank.pickup_floor_l > 0.0 || result.run_dry.chance > 0.0) {
    table.rows.push_back(running_dry(asked, result.run_dry));
  }
  if (result.clicked_off_early) {
    table.rows.push_back({say("row.early"), chance(*result.clicked_off_early)});
  }
  answer.sections = {std::move(table), landed_section("chance.landed", result.landed)};
  if (!result.between.empty())
    answer.sections.push_back(between_section(asked.scenario, result.between));
  if (result.learned) answer.sections.push_back(told_section(*result.learned, result.landed));
  close(answer, asked, landing_of(asked.scenario), computed(asked, result), notes(result));
  return answer;
}

Json members(const Asked& asked, const ChanceResult& result) {
  const scenario::Limits& limits = asked.scenario.limits;
  Json all = shown_all(notes(result));
  const auto bound = [&](const char* key, const std::optional<estimate::Estimate>& estimate) {
    if (estimate && estimate->upper_bound_only) all.push_back(shown(say("note.bound", text(key))));
  };
  bound("below_minimum", result.below_minimum);
  bound("above_maximum", result.above_maximum);
  bound("outside", result.outside);
  bound("run_dry", result.run_dry);
  bound("clicked_off_early", result.clicked_off_early);
  Members object = opening("chance", asked, method_of(asked, result));
  object.text("conditioned_on", result.conditioned_on, "none.conditioned"_w);
  object("importance_sampling", result.effort.tilted)("stopped", stop_word(result.effort.stop));
  object("evaluations", result.effort.evaluations)("elapsed_s", asked.elapsed_s);
  Json landed = json(result.landed);
  if (is_rough(result.landed)) landed["quantile_error"] = json(result.landed.error);
  object("landed", landed);
  if (result.learned) {
    Members learned;
    learned("heel_before", *quantiles(result.learned->heel_before_l));
    learned("heel_after", *quantiles(result.learned->heel_after_l));
    learned("landed_before", result.learned->landed_before);
    object("told_by_dispenser", Json(learned));
  }
  add_limits(object, limits, result.below_minimum, result.above_maximum, "none.");
  object("outside", result.outside);
  object("run_dry", with(result.run_dry, "floor", asked.scenario.tank.pickup_floor_l));
  object("clicked_off_early", result.clicked_off_early, "none.metered"_w);
  if (!result.between.empty()) object("between", between_members(asked.scenario, result.between));
  object("accepted_risk", limits.accepted_risk)("met", result.met)("clearly", result.clearly);
  object("dry_risk", limits.dry_risk)("dry_met", result.dry_met)("notes", all);
  if (result.carried) object("lines", carried_members(*result.carried));
  return object;
}

}  // namespace blendrisk::answer
