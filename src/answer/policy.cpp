#include "answer/policy.hpp"

#include <algorithm>
#include <cmath>

#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "text/pieces.hpp"

namespace blendrisk::answer {
namespace {

using decide::PolicyYear;
using decide::YearFigure;

constexpr double k_plain_risk = 0.01;

Value chance_of(const YearFigure& figure) {
  return chance(
      estimate::Estimate{figure.value, figure.standard_error, {figure.value, figure.value}});
}

/// A number of misses, or money: as many digits as are read.
Value amount_of(double value) {
  return number(value, 3);
}
Value money(double value) {
  return fixed(value, std::abs(value) < 100.0 ? 2 : 0);
}

/// Whole litres: no more is known of a year.
Value year_of_litres(double litres) {
  return volume(std::round(litres));
}

Value counted(std::string id, std::size_t number) {
  if (number == 1) id += ".one";
  return say(id, count(number));
}

Value whole(double changes) {
  return fixed(changes, 0);
}

Value in_a_year(const PolicyYear& year) {
  return say(year.extra_cost ? "policy.in_a_year.cost" : "policy.in_a_year", whole(year.changes),
             year_of_litres(year.extra_l), amount_of(year.year.misses.value),
             chance_of(year.year.any), year.extra_cost ? money(*year.extra_cost) : Value());
}

Value unserved(const PolicyYear& year) {
  if (year.unserved_places == 0) return {};
  return say(year.unserved_places == 1 ? "policy.unserved.one" : "policy.unserved",
             whole(year.unserved_changes), count(year.unserved_places));
}

std::vector<Value> verdict(const PolicyView& view) {
  const PolicyYear& wall = view.wall();
  const std::vector<PolicyYear>& years = view.result.years;
  if (years.front().changes == 0.0) return {say("policy.nothing", percent(years.front().risk))};
  std::vector<Value> all;
  if (view.request.year_risk && !view.result.within) {
    all.push_back(say("policy.not_within", percent(*view.request.year_risk), percent(wall.risk),
                      chance_of(wall.year.any)));
  }
  Value why;
  if (view.result.within) {
    why = say("policy.print.year", percent(*view.request.year_risk));
  } else if (!view.request.year_risk && view.result.cheapest) {
    why = say("policy.print.cost", money(view.result.costs->least.cost_of_miss));
  } else if (!view.request.year_risk && !view.request.cost_of_miss) {
    why = say("policy.print.plain", percent(years.front().risk), percent(years.back().risk));
  }
  all.push_back(joined({say("policy.print", percent(wall.risk)), why}));
  all.push_back(in_a_year(wall));
  if (const Value left_out = unserved(wall)) all.push_back(left_out);
  return all;
}

Section wall_table(const PolicyView& view) {
  Section section{.heading = say("policy.heading.wall"), .grid = {{26, 22, 9, 12}, {}, {}}};
  section.grid.head = {say("policy.car"), say("policy.pump"), say("policy.changes"),
                       say("policy.fill"), say("policy.margin")};
  const PolicyYear& wall = view.wall();
  for (std::size_t i = 0; i < view.places.size(); ++i) {
    const PolicyPlaceName& place = view.places[i];
    const decide::PlaceAmount& amount = wall.places[i];
    section.grid.lines.push_back(
        {text(view.cars[place.car]), text(view.pumps[place.pump]), whole(place.changes),
         amount.amount_l ? dispenser(*amount.amount_l) : say("policy.none"),
         amount.margin_l ? dispenser(*amount.margin_l) : Value()});
  }
  return section;
}

Section risk_table(const PolicyView& view) {
  Section section{.heading = say("policy.heading.risks"), .grid = {{10, 13, 11, 10, 23}, {}, {}}};
  section.grid.head = {say("policy.risk"),   say("policy.extra"), say("policy.cost"),
                       say("policy.misses"), say("policy.any"),   say("policy.left_out")};
  for (const PolicyYear& year : view.result.years) {
    section.grid.lines.push_back(
        {percent(year.risk), year_of_litres(year.extra_l),
         year.extra_cost ? money(*year.extra_cost) : text("-"), amount_of(year.year.misses.value),
         chance_of(year.year.any),
         year.unserved_places > 0 ? whole(year.unserved_changes) : Value()});
  }
  return section;
}

Section year_section(const PolicyView& view) {
  const decide::Year& year = view.wall().year;
  Section section{.heading = say("policy.heading.year"), .columns = k_label_columns};
  section.rows = {{say("policy.row.any"), joined({chance_of(year.any)})},
                  {say("policy.row.independent"), joined({chance_of(year.independent)})},
                  {say("policy.row.once"), joined({chance_of(year.once)})},
                  {say("policy.row.expected"), amount_of(year.misses.value)}};
  return section;
}

Section costs_section(const PolicyView& view) {
  const decide::PolicyCosts& costs = *view.result.costs;
  const auto at = [](const decide::LeastCost& least) {
    return least.at_end ? say("policy.at_end", percent(least.risk)) : percent(least.risk);
  };
  const double misses = costs.least.cost_of_miss * costs.misses_at_least;
  Section section{.heading = say("policy.heading.costs"), .columns = k_label_columns};
  section.rows = {{say("policy.row.least"), at(costs.least)},
                  {say("policy.row.total"), say("policy.total", money(costs.fuel_at_least + misses),
                                                money(costs.fuel_at_least), money(misses),
                                                amount_of(costs.misses_at_least))},
                  {say("policy.row.flat", percent(decide::k_flat)),
                   say("range", percent(costs.least.low), percent(costs.least.high))},
                  {say("policy.row.half"), at(costs.half)},
                  {say("policy.row.twice"), at(costs.twice)}};
  return section;
}

std::vector<Value> notes(const PolicyView& view) {
  std::vector<Value> all{say("policy.note.money"), say("policy.note.laws"),
                         say("policy.note.pump")};
  if (const auto& costs = view.result.costs) {
    double changes = 0.0;
    for (const PolicyPlaceName& place : view.places) changes += place.changes;
    if (costs->changes < changes) {
      all.push_back(say("policy.note.common", whole(costs->changes), whole(changes)));
    }
    const PolicyYear& strictest = view.result.years.back();
    if (strictest.unserved_changes > changes - costs->changes) {
      all.push_back(say("policy.note.carried"));
    }
    if (costs->least.at_end) all.push_back(say("policy.note.end"));
  }
  if (view.measured) all.push_back(say("policy.note.measured"));
  return all;
}

Value persistent(const PolicyView& view) {
  if (view.persistent.empty()) return say("policy.none_persistent");
  return text(text::listed(view.persistent));
}

Json json_of(const YearFigure& figure) {
  return Members()("value", figure.value)("standard_error", figure.standard_error);
}

Json json_of(const decide::PlaceAmount& place) {
  Members object;
  object("amount", place.amount_l, "none.amount"_w);
  object("margin", place.margin_l, "policy.reason.margin"_w);
  return object("chance", place.amount_l ? std::optional(place.chance) : std::nullopt,
                "none.amount"_w);
}

Json json_of(const PolicyYear& year) {
  Members object;
  object("accepted_risk", year.risk)("extra_fuel", year.extra_l);
  object("extra_cost", year.extra_cost, "none.price"_w);
  object("misses", json_of(year.year.misses))("any_miss", json_of(year.year.any));
  object("any_miss_independent", json_of(year.year.independent));
  object("any_miss_once", json_of(year.year.once));
  object("changes", year.changes)("changes_left_out", year.unserved_changes);
  object("places_left_out", year.unserved_places);
  Json cars = Json::array();
  for (const decide::Year& car : year.cars) {
    cars.push_back(Members()("misses", json_of(car.misses))("any_miss", json_of(car.any)));
  }
  Json places = Json::array();
  for (const decide::PlaceAmount& place : year.places) places.push_back(json_of(place));
  return object("cars", cars)("places", places);
}

Json json_of(const decide::LeastCost& least) {
  return Members()("cost_of_miss", least.cost_of_miss)("accepted_risk", least.risk)(
      "flat", Json::array({least.low, least.high}))("at_end", least.at_end);
}

Json json_of(const decide::PolicyCosts& costs) {
  Members object;
  object("changes", costs.changes)("accepted_risks", Json(costs.risks));
  object("extra_cost", Json(costs.fuel))("misses", Json(costs.misses));
  object("least", json_of(costs.least));
  object("extra_cost_at_least", costs.fuel_at_least)("misses_at_least", costs.misses_at_least);
  return object("half", json_of(costs.half))("twice", json_of(costs.twice));
}

template <class One>
std::optional<Json> perhaps(const std::optional<One>& one) {
  return one ? std::optional<Json>(json_of(*one)) : std::nullopt;
}

}  // namespace

const PolicyYear& PolicyView::wall() const {
  if (result.within) return *result.within;
  if (request.year_risk) {
    const auto served = [](const PolicyYear& year) { return year.changes > 0.0; };
    const auto strictest = std::ranges::find_if(result.years.rbegin(), result.years.rend(), served);
    return strictest != result.years.rend() ? *strictest : result.years.front();
  }
  if (result.cheapest) return *result.cheapest;
  return *std::ranges::find(result.years, k_plain_risk, &PolicyYear::risk);
}

Description described(const Asked& asked, const PolicyView& view) {
  Description answer = opened(asked);
  answer.title = shown(say("policy.title", counted("policy.cars", view.cars.size()),
                           counted("policy.pumps", view.pumps.size())));
  answer.verdict = verdict(view);
  answer.sections = {wall_table(view), year_section(view), risk_table(view)};
  if (view.result.costs) answer.sections.push_back(costs_section(view));
  close(answer, asked, About::nothing,
        {method_row("policy.method"_w),
         {say("policy.row.persistent"), persistent(view)},
         {say("policy.row.places"), say("policy.places", count(view.places.size()),
                                        whole(view.wall().changes + view.wall().unserved_changes))},
         evaluations_row(view.result.evaluations)},
        notes(view));
  return answer;
}

Json members(const Asked& asked, const PolicyView& view) {
  Members object = opening("policy", asked, "policy.method"_w);
  object("evaluations", view.result.evaluations)("elapsed_s", asked.elapsed_s);
  object("cars", Json(view.cars))("pumps", Json(view.pumps));
  object("persistent", Json(view.persistent));
  Json places = Json::array();
  for (const PolicyPlaceName& place : view.places) {
    places.push_back(Members()("car", place.car)("pump", place.pump)("changes", place.changes));
  }
  object("places", places)("wall", json_of(view.wall()));
  Json years = Json::array();
  for (const PolicyYear& year : view.result.years) years.push_back(json_of(year));
  object("risks", years)("extra_fuel_of_same_changes", Json(view.result.same_changes_l));
  object("within_year_risk", perhaps(view.result.within),
         !view.request.year_risk ? "policy.reason.year_wish"_w
         : view.result.why_not_within == decide::NoPolicy::nothing_served ? "policy.reason.costs"_w
                                                                          : "policy.reason.year"_w);
  object("costs", perhaps(view.result.costs),
         view.request.cost_of_miss ? "policy.reason.costs"_w : "policy.reason.cost_wish"_w);
  return object("notes", shown_all(notes(view)));
}

}  // namespace blendrisk::answer
