#include "decide/fill.hpp"

#include <cmath>

#include "answer/between_fills.hpp"
#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "scenario/way.hpp"

namespace blendrisk::answer {
namespace {

using decide::FillResult;

/// What is said of amounts beyond the largest.
Value beyond(const FillResult& result) {
  if (!result.again_from_l) return say("fill.beyond");
  return say("fill.beyond.again", dispenser(*result.again_from_l));
}

Value nothing_needed(const Asked& asked, const FillResult& result) {
  const Value head = say("fill.nothing", chance(result.at_safe->outside), accepted(asked));
  if (!result.largest_amount_l) return head;
  return joined(
      {head, say("fill.nothing.up_to", dispenser(*result.largest_amount_l)), beyond(result)});
}

Value verdict(const Asked& asked, const FillResult& result) {
  if (*result.safe_amount_l == 0.0) return nothing_needed(asked, result);
  const std::size_t fills = asked.scenario.fills.size();
  const bool largest = result.largest_amount_l.has_value();
  std::vector<Value> all{say(fills == 1 ? "fill.put_in" : "fill.put_in.last",
                             amounts(*result.safe_amount_l, result.largest_amount_l),
                             count(fills))};
  if (result.margin_l) {
    all.push_back(margin(largest ? "fill.least" : "fill.margin", *result.margin_l, asked.units));
  }
  all.push_back(say(largest ? "fill.chance.least" : "fill.chance", chance(result.at_safe->outside),
                    accepted(asked)));
  if (largest) all.insert(all.end(), {say("fill.largest"), beyond(result)});
  if (result.outside_at_nominal && result.margin_l && *result.margin_l > 0.0) {
    all.push_back(say("fill.why_margin", chance(*result.outside_at_nominal)));
  }
  return joined(std::move(all));
}

Section amounts_section(const FillResult& result) {
  Section section{.heading = say("fill.amounts"), .columns = 36};
  const auto add = [&](std::string_view id, const std::optional<double>& litres) {
    if (litres) section.rows.push_back({say(id), dispenser(*litres)});
  };
  if (!result.nominal_amount_l) {
    section.rows.push_back({say("fill.row.nominal"), say("fill.no_nominal")});
  }
  add("fill.row.nominal", result.nominal_amount_l);
  add("fill.row.safe", result.safe_amount_l);
  add("fill.row.margin", result.margin_l);
  if (result.margin_l && result.margin_cost) {
    Value& value = section.rows.back().value;
    value = say(*result.margin_cost < 0.0 ? "fill.saves" : "fill.costs", value,
                fixed(std::abs(*result.margin_cost), 2));
  }
  add("fill.row.largest", result.largest_amount_l);
  add("fill.row.again", result.again_from_l);
  add("fill.row.room", result.room_l);
  return section;
}

Section why(const Asked& asked, const FillResult& result) {
  Section table = chances();
  const auto add = [&](std::string_view id, const std::optional<estimate::Estimate>& estimate) {
    if (estimate) table.rows.push_back({say(id), chance(*estimate)});
  };
  add("fill.row.outside_nominal", result.outside_at_nominal);
  if (!result.at_safe) return table;
  add("fill.row.outside_safe", result.at_safe->outside);
  add("fill.row.early", result.at_safe->clicked_off_early);
  if (asked.scenario.tank.pickup_floor_l > 0.0) {
    table.rows.push_back(running_dry(asked, result.at_safe->run_dry));
  }
  return table;
}

/// Running the tank down, as far as that is told to be worth its chance of running dry.
Value run_down(const Asked& asked, const decide::Instead& other) {
  const scenario::Scenario& scenario = asked.scenario;
  const double dry = other.dry_risk_at_highest.value_or(0.0);
  if (!other.highest_heel_l || dry > k_most_to_accept) return {};
  const Value head =
      say(scenario.fills.size() > 1 ? "fill.way.down.first" : "fill.way.down",
          gauge(*other.highest_heel_l),
          say(scenario::is_on_the_way(scenario) ? "fill.way.down.planned" : "fill.way.down.now",
              gauge(scenario::reading_at_pump(scenario))));
  if (scenario.tank.pickup_floor_l == 0.0) return joined({head, say("fill.way.dry_unknown")});
  const Value risk = percent(scenario.limits.dry_risk);
  if (dry <= scenario.limits.dry_risk) {
    return joined({head, say("fill.way.dry_within", chance(dry), risk)});
  }
  return joined({head, say("fill.way.dry_above", chance(dry), risk), say("dry.what")});
}

/// Everything that was tried and would do.
std::vector<Value> ways(const Asked& asked, const decide::Instead& other) {
  std::vector<Value> found;
  if (const Value down = run_down(asked, other)) found.push_back(down);
  if (other.second_heel_l) {
    found.push_back(two_fills(asked.scenario, {},
                              say("heel.indicated", gauge(*other.second_heel_l)), other.between));
  }
  if (other.tested_content) {
    found.push_back(say(other.tested_at_least ? "fill.way.test.more" : "fill.way.test.less",
                        content(*other.tested_content, 2)));
  }
  if (other.least_chance <= k_most_to_accept) {
    found.push_back(say("fill.way.accept", chance(other.least_chance)));
  }
  return found;
}

}  // namespace

Description described(const Asked& asked, const FillResult& result) {
  Description answer = opened(asked);
  if (result.safe_amount_l) {
    answer.verdict.push_back(verdict(asked, result));
  } else {
    const decide::Instead& other = *result.instead;
    answer.verdict.push_back(
        say("fill.none", say("none.amount_within"), chance(other.least_chance),
            other.least_at_l > result.room_l ? say("fill.click_off") : dispenser(other.least_at_l),
            accepted(asked)));
    answer.sections.push_back(what_would_do(ways(asked, other)));
  }
  if (result.at_safe) answer.verdict.push_back(dry_warning(asked, *result.at_safe));
  if (!result.between.empty()) {
    answer.sections.push_back(between_section(asked.scenario, result.between));
  }
  answer.sections.push_back(amounts_section(result));
  if (result.outside_at_nominal || result.at_safe) answer.sections.push_back(why(asked, result));
  if (result.at_safe) {
    answer.sections.push_back(landed_section("fill.landed", result.at_safe->landed));
  }
  close(answer, asked, landing_of(asked.scenario), {evaluations_row(result.effort.evaluations)});
  return answer;
}

Json members(const Asked& asked, const FillResult& result) {
  using Optional = std::optional<estimate::Estimate>;
  const auto& safe = result.at_safe;
  const std::string none = "none.amount_within"_w;
  const std::string no_nominal = "none.nominal"_w;
  Members object =
      opening("fill", asked, safe ? method_of(asked, *safe) : methods_text(result.effort.methods));
  object("evaluations", result.effort.evaluations)("elapsed_s", asked.elapsed_s);
  object("nominal_amount", result.nominal_amount_l, no_nominal);
  object("safe_amount", result.safe_amount_l, none);
  object("margin", result.margin_l, result.safe_amount_l ? no_nominal : none);
  object("margin_cost", result.margin_cost,
         asked.scenario.fills.back().price_per_l ? "none.margin"_w : "none.price"_w);
  object("largest_amount", result.largest_amount_l, result.safe_amount_l ? "none.largest"_w : none);
  object("again_from", result.again_from_l, "none.again"_w)("room", result.room_l);
  object("outside_at_safe", safe ? Optional(safe->outside) : Optional(), none);
  object("outside_at_nominal", result.outside_at_nominal, no_nominal);
  object("clicked_off_early_at_safe", safe ? safe->clicked_off_early : Optional(), none);
  object("accepted_risk", asked.scenario.limits.accepted_risk);
  object("met", result.safe_amount_l.has_value());
  if (!result.between.empty()) object("between", between_members(asked.scenario, result.between));
  if (!result.instead) return object;
  const decide::Instead& other = *result.instead;
  const std::string no_way = "none.way"_w;
  Members instead;
  instead("least_chance", other.least_chance)("least_at", other.least_at_l);
  instead("highest_indicated", other.highest_heel_l, no_way);
  instead("dry_risk_at_highest", other.dry_risk_at_highest, no_way);
  instead("second_indicated", other.second_heel_l, no_way);
  if (!other.between.empty()) {
    instead("between", between_members(asked.scenario, other.between));
  }
  instead("tested_content", other.tested_content, no_way);
  return object("instead", Json(instead));
}

}  // namespace blendrisk::answer
