#include "decide/heel.hpp"

#include "answer/reasons.hpp"
#include "answer/shared.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using decide::HeelResult;

/// Kilometres left at a reading, none where the scenario does not know the economy or less than the
/// reserve is left.
std::optional<double> distance_left(const scenario::Scenario& scenario,
                                    const std::optional<double>& indicated_l) {
  const auto& economy = scenario.heel.economy_l_per_km;
  if (!indicated_l || !economy || !(*economy > 0.0)) return {};
  if (*indicated_l < scenario.heel.reserve_l) return {};
  return (*indicated_l - scenario.heel.reserve_l) / *economy;
}

/// "6.5 L indicated", with the distance left where the scenario knows the economy.
Value reading(const Asked& asked, double indicated_l) {
  const auto left = distance_left(asked.scenario, indicated_l);
  if (!left) return say("heel.indicated", gauge(indicated_l));
  return say("heel.indicated.left", gauge(indicated_l), distance(*left));
}

/// How far to drive before the fill.
Value drive(const Asked& asked, const HeelResult& result) {
  if (!result.drive || !result.drive->median_km) return {};
  const decide::Drive& drive = *result.drive;
  const Value there = gauge(*result.highest_indicated_l);
  const Value risk = percent(asked.scenario.limits.dry_risk);
  if (!drive.farthest_km) return say("heel.drive.none", risk);
  const std::string id = *drive.median_km == 0.0                 ? "heel.drive.here"
                         : *drive.farthest_km < *drive.median_km ? "heel.drive.too_far"
                                                                 : "heel.drive";
  const bool to_nothing = asked.scenario.tank.pickup_floor_l == 0.0;
  return joined({say(id, there, distance(*drive.median_km), distance(*drive.farthest_km), risk),
                 to_nothing ? say("heel.drive.floor") : Value{}});
}

Value verdict(const Asked& asked, const HeelResult& result) {
  if (!result.window) return say("heel.none", text(reason(*result.why_none)));
  const auto& [low, high] = *result.window;
  const double now = asked.scenario.heel.indicated_l;
  return joined({say(low == high ? "heel.down.exactly"
                     : low > 0.0 ? "heel.down.between"
                                 : "heel.down",
                     reading(asked, high), reading(asked, low)),
                 say(asked.scenario.fills.size() > 1 ? "heel.then.written" : "heel.then.fill"),
                 say("heel.chance", chance(result.at_highest->outside), accepted(asked)),
                 drive(asked, result), now < low ? say("heel.now_less", gauge(now)) : Value{}});
}

/// Everything that was tried and would do.
std::vector<Value> ways(const Asked& asked, const HeelResult& result) {
  const scenario::Limits& limits = asked.scenario.limits;
  const auto& lowest = result.lowest_indicated_l;
  std::vector<Value> found;
  if (result.second_highest_l) {
    found.push_back(two_fills(asked.scenario, reading(asked, *lowest),
                              reading(asked, *result.second_highest_l)));
  }
  if (result.risk_at_lowest && lowest && *result.risk_at_lowest <= k_most_to_accept) {
    found.push_back(say("heel.way.accept", percent(*result.risk_at_lowest), accepted(asked),
                        reading(asked, *lowest)));
  }
  if (result.dry_risk_at_highest && *result.dry_risk_at_highest <= k_most_to_accept) {
    found.push_back(
        joined({say("heel.way.accept_dry", percent(*result.dry_risk_at_highest),
                    percent(limits.dry_risk), reading(asked, *result.highest_indicated_l)),
                say("dry.what")}));
  }
  if (result.window_at_means) found.push_back(say("heel.way.know"));
  return found;
}

Section readings(const Asked& asked, const HeelResult& result) {
  const bool several = asked.scenario.fills.size() > 1;
  Section section{.heading = say(several ? "heel.readings.first" : "heel.readings"), .columns = 34};
  const auto add = [&](std::string_view id, const std::optional<double>& litres) {
    section.rows.push_back({say(id), litres ? reading(asked, *litres) : say("none")});
  };
  add("heel.row.nominal", result.nominal_highest_l);
  add("heel.row.highest", result.highest_indicated_l);
  if (result.lowest_for_limits_l) add("heel.row.lowest_limits", result.lowest_for_limits_l);
  add("heel.row.lowest", result.lowest_indicated_l);
  add(result.drive ? "heel.row.here" : "heel.row.now", asked.scenario.heel.indicated_l);
  if (result.drive) {
    const auto& [median_km, farthest_km] = *result.drive;
    section.rows.push_back({say("heel.row.drive"), median_km ? distance(*median_km) : say("none")});
    section.rows.push_back(
        {say("heel.row.farthest"), farthest_km ? distance(*farthest_km) : say("none")});
  }
  return section;
}

}  // namespace

Description described(const Asked& asked, const HeelResult& result) {
  Description answer = opened(asked);
  answer.verdict = {verdict(asked, result)};
  if (!result.window) answer.sections.push_back(what_would_do(ways(asked, result)));
  if (asked.scenario.fills.size() > 1)
    answer.sections.push_back({.text = {say("between_fills.several")}});
  answer.sections.push_back(readings(asked, result));
  if (result.at_highest) {
    Section table = chances();
    table.rows = {{say("heel.row.outside"), chance(result.at_highest->outside)},
                  {say("heel.row.dry"), chance(result.at_highest->run_dry)}};
    answer.sections.push_back(std::move(table));
    answer.sections.push_back(landed_section("heel.landed", result.at_highest->landed));
  }
  close(answer, asked, About::landing, {evaluations_row(result.effort.evaluations)});
  return answer;
}

Json members(const Asked& asked, const HeelResult& result) {
  const auto& highest = result.at_highest;
  const scenario::Limits& limits = asked.scenario.limits;
  const std::string no_highest = "none.reading"_w;
  const std::string no_lowest = "none.dry_reading"_w;
  const auto unless_window = [&](const std::string& why) {
    return result.window ? "none.window"_w : why;
  };
  Members object = opening(
      "heel", asked, highest ? method_of(asked, *highest) : methods_text(result.effort.methods));
  object("evaluations", result.effort.evaluations)("elapsed_s", asked.elapsed_s);
  object("highest_indicated", result.highest_indicated_l, no_highest);
  object("lowest_indicated", result.lowest_indicated_l, no_lowest);
  object("window", result.window ? Json(*result.window) : Json(nullptr));
  object("nominal_highest", result.nominal_highest_l, "none.nominal_reading"_w);
  object("reason", result.why_none ? Json(reason(*result.why_none)) : Json(nullptr));
  object("lowest_for_limits", result.lowest_for_limits_l, "none.lower"_w);
  object("risk_at_lowest", result.risk_at_lowest, unless_window(no_lowest));
  object("dry_risk_at_highest", result.dry_risk_at_highest, unless_window(no_highest));
  object("second_indicated", result.second_highest_l, unless_window("none.second"_w));
  object("outside_at_highest", highest ? std::optional(highest->outside) : std::nullopt,
         no_highest);
  object("highest_distance_left_km", distance_left(asked.scenario, result.highest_indicated_l),
         "none.economy"_w);
  object("lowest_distance_left_km", distance_left(asked.scenario, result.lowest_indicated_l),
         "none.economy"_w);
  const auto drive = result.drive.value_or(decide::Drive{});
  const std::string no_way = "none.to_pump"_w;
  object("drive_km", drive.median_km, result.drive ? no_highest : no_way);
  object("farthest_km", drive.farthest_km, result.drive ? "none.farthest"_w : no_way);
  object("accepted_risk", limits.accepted_risk)("dry_risk", limits.dry_risk);
  object("met", result.window.has_value());
  return object;
}

}  // namespace blendrisk::answer
