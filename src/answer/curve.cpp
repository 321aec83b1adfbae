#include "answer/curve.hpp"

#include <cmath>

#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::answer {
namespace {

using decide::Cell;
using decide::Show;

Value chance_of_landing(const CurveView& view) {
  const scenario::Limits& limits = view.scenario.limits;
  const auto varies = [&](const char* key) { return view.along.key == key || view.by.key == key; };
  if (limits.minimum && !limits.maximum) {
    if (varies("limits.minimum")) return say("curve.chance.minimum");
    return say("curve.chance.below", content(*limits.minimum));
  }
  if (limits.maximum && !limits.minimum) {
    if (varies("limits.maximum")) return say("curve.chance.maximum");
    return say("curve.chance.above", content(*limits.maximum));
  }
  return say("curve.chance.outside");
}

Value point_value(const Cell& point) {
  if (point.chance) return chance(*point.chance);
  if (point.landed) {
    return middle_and_range([](double value) { return content(value, 1); },
                            point.landed->quantiles);
  }
  return point.litres ? dispenser(*point.litres) : say("none");
}

/// Where the curve is within the accepted risk.
std::vector<Value> crossings(const CurveView& view, std::size_t curve, UnitSystem units) {
  std::vector<Value> all;
  for (const decide::Crossing& crossing : view.crossings_of(curve)) {
    all.push_back(say(crossing.within_below ? "curve.within.up_to" : "curve.within.from",
                      percent(view.scenario.limits.accepted_risk),
                      crossing_value(view, crossing, units)));
  }
  return all;
}

Value title(const CurveView& view) {
  return say("curve.title", meaning(view), text(label(view.along.key)));
}

Json point_members(const CurveView& view, std::size_t curve, std::size_t i) {
  const Cell& one = view.point(curve, i);
  Members object;
  object("value", view.values[i]);
  if (!view.by.values.empty()) object("by", view.by.values[curve]);
  if (one.chance) return object("estimate", *one.chance);
  if (one.landed) return object("landed", *one.landed);
  return object("amount", one.litres, "none.amount"_w);
}

}  // namespace

bool CurveView::has_chances() const {
  return request.show == Show::chance || request.show == Show::arrival;
}

bool CurveView::risk_varies() const {
  constexpr std::string_view key = "limits.accepted-risk";
  return along.key == key || by.key == key;
}

Value meaning(const CurveView& view) {
  switch (view.request.show) {
    case Show::chance:
      return chance_of_landing(view);
    case Show::amount:
      return say("curve.amount");
    case Show::landed:
      return say("curve.landed");
    case Show::heel:  // is no curve
    case Show::arrival:
      break;
  }
  return say("curve.arrival", beyond_limit(view.target), moment(view.request.after));
}

Value along(const CurveView& view, double value, UnitSystem units) {
  const ShownUnit unit = shown_unit(view, units);
  const std::string number = short_text(value * unit.factor, 3);
  return text(unit.name.empty() ? number : number + " " + unit.name);
}

Value crossing_value(const CurveView& view, const decide::Crossing& crossing, UnitSystem units) {
  const auto to_step = [&](double value, double step) {
    const double steps = value / step;
    return step * (crossing.within_below ? std::floor(steps + 1e-9) : std::ceil(steps - 1e-9));
  };
  if (view.along.key.ends_with(".indicated")) {
    return gauge(to_step(crossing.value, gauge_step(units)));
  }
  if (view.along.key.ends_with(".amount")) {
    return dispenser(to_step(crossing.value, dispenser_step(units)));
  }
  const ShownUnit unit = shown_unit(view, units);
  const double value = crossing.value * unit.factor;
  if (value == 0.0) return along(view, 0.0, units);
  const double step = std::pow(10.0, std::floor(std::log10(std::abs(value))) - 2.0);
  return along(view, to_step(value, step) / unit.factor, units);
}

Value curve_name(const CurveView& view, std::size_t curve) {
  return view.by.values.empty() ? Value{} : given(view.by.values[curve]);
}

ShownUnit shown_unit(units::Dimension dimension, UnitSystem system) {
  const std::string_view name = units::display_unit(dimension, system);
  return name.empty() ? ShownUnit{}
                      : ShownUnit{units::in_unit(1.0, name, dimension), std::string(name)};
}

ShownUnit shown_unit(const CurveView& view, UnitSystem system) {
  return shown_unit(scenario::find_key(view.along.key)->dimension, system);
}

Description described(const Asked& asked, const CurveView& view) {
  Description answer = opened(asked);
  answer.verdict = {title(view)};
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    Section section{.grid = {{14}, {}, {}}, .indent = 2};
    if (const Value name = curve_name(view, curve)) {
      section.heading = say("curve.name", text(label(view.by.key)), name);
    }
    for (std::size_t i = 0; i < view.values.size(); ++i) {
      section.grid.lines.push_back(
          {along(view, view.values[i], asked.units), point_value(view.point(curve, i))});
    }
    section.text = crossings(view, curve, asked.units);
    answer.sections.push_back(std::move(section));
  }
  close(answer, asked, view.request.show == Show::arrival ? About::line : About::landing,
        {method_row(methods_text_of(view.points)),
         {say("curve.row.points"), count(view.points.size())}},
        {}, {view.along.key, view.by.key});
  return answer;
}

std::vector<Paragraph> summary(const CurveView& view, UnitSystem units) {
  std::vector<Paragraph> all{{title(view)}};
  if (!view.has_one_risk()) return all;
  const double risk = view.scenario.limits.accepted_risk;
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    if (const Value name = curve_name(view, curve)) {
      all.push_back({say("curve.name.colon", text(label(view.by.key)), name)});
    }
    std::vector<Value> where = crossings(view, curve, units);
    if (where.empty()) {
      const bool within = view.point(curve, 0).chance->chance <= risk;
      where = {say(within ? "curve.within.everywhere" : "curve.within.nowhere", percent(risk))};
    }
    for (const Value& value : where) all.push_back({value, 2});
  }
  return all;
}

Json members(const Asked& asked, const CurveView& view) {
  std::uint64_t evaluations = 0;
  for (const Cell& one : view.points) evaluations += one.effort.evaluations;
  Json points = Json::array();
  Json crossed = Json::array();
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    for (std::size_t i = 0; i < view.values.size(); ++i) {
      points.push_back(point_members(view, curve, i));
    }
    for (const decide::Crossing& crossing : view.crossings_of(curve)) {
      Members one;
      one("value", crossing.value)("within", crossing.within_below ? "below" : "above");
      if (!view.by.values.empty()) one("by", view.by.values[curve]);
      crossed.push_back(one);
    }
  }
  Members object = opening("curve", asked, methods_text_of(view.points));
  object("evaluations", evaluations)("elapsed_s", asked.elapsed_s)("along", view.along.key);
  object("by", view.by.values.empty() ? Json(nullptr) : Json(view.by.key));
  object("points", points)("crossings", crossed);
  return object("accepted_risk", view.scenario.limits.accepted_risk);
}

}  // namespace blendrisk::answer
