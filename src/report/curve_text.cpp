#include "report/curve_text.hpp"

#include <algorithm>

#include "report/csv.hpp"
#include "report/curve_parts.hpp"
#include "report/json_parts.hpp"
#include "report/labels.hpp"
#include "report/methods_text.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"

namespace blendrisk::report {
namespace {

using decide::CurvePoint;
using decide::CurveShow;

/// Of all points.
std::string methods_of(const CurveView& view) {
  estimate::Methods methods;
  for (const CurvePoint& one : view.points) methods |= one.methods;
  return methods_text(methods);
}

std::string point_text(const CurvePoint& point, UnitSystem units) {
  if (point.chance) return estimate_text(*point.chance);
  if (point.landed) {
    const auto& q = point.landed->quantiles;
    return content_text(q[2], 1) + " (95 %: " + content_text(q[0], 1) + " to " +
           content_text(q[4], 1) + ")";
  }
  return point.litres ? dispenser_text(*point.litres, units) : "none";
}

/// Where the curve is within the accepted risk, a line a crossing.
std::string crossing_lines(const CurveView& view, std::size_t curve, UnitSystem units) {
  std::string text;
  for (const decide::Crossing& crossing : crossings_of(view, curve)) {
    const bool below = crossing.within_below;
    text += wrapped("Within the accepted risk of " +
                        short_text(100.0 * view.scenario.limits.accepted_risk) + " % " +
                        (below ? "up to " : "from ") + crossing_text(view, crossing, units) +
                        (below ? "." : " on."),
                    "  ");
  }
  return text;
}

std::string lines_of(const CurveView& view, std::size_t curve, UnitSystem units) {
  std::string text;
  for (std::size_t i = 0; i < view.values.size(); ++i) {
    text += "  " + padded(value_text(view, view.values[i], units), 14) +
            point_text(point(view, curve, i), units) + "\n";
  }
  return text + crossing_lines(view, curve, units);
}

Json point_json(const CurveView& view, std::size_t curve, std::size_t i) {
  const CurvePoint& one = point(view, curve, i);
  Json object = Json::object();
  put(object, "value", view.values[i]);
  if (!view.by.values.empty()) object["by"] = view.by.values[curve];
  if (one.chance) {
    object["estimate"] = estimate_json(*one.chance);
  } else if (one.landed) {
    put(object["landed"], "mean", one.landed->mean);
    put(object["landed"], "standard_deviation", one.landed->standard_deviation);
    object["landed"]["quantiles"] = Json::object();
    put_quantiles(object["landed"]["quantiles"], one.landed->quantiles);
  } else {
    put(object, "amount", one.litres, k_no_amount);
  }
  return object;
}

}  // namespace

std::string curve_text(const CurveView& view, const estimate::Options& options, UnitSystem units) {
  std::string text = title_lines(view.scenario) +
                     wrapped(meaning(view, units) + ", along " + label(view.along.key) + ".");
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    const std::string name = curve_name(view, curve, units);
    text += name.empty() ? "\n" : heading(label(view.by.key) + " " + name);
    text += lines_of(view, curve, units);
  }
  scenario::Scenario rest = view.scenario;
  const auto on_axis = [&view](const scenario::Given& given) {
    return given.key == view.along.key || given.key == view.by.key;
  };
  std::erase_if(rest.given, on_axis);
  std::erase_if(rest.defaults, on_axis);
  const About about = view.request.show == CurveShow::arrival ? About::line : About::landing;
  return text + assumed_section(rest, units, about) + heading("How it was computed") +
         row("method", 16, methods_of(view)) +
         row("points", 16, std::to_string(view.points.size())) +
         row("seed", 16, std::to_string(options.seed)) + cautions_section();
}

std::string curve_summary(const CurveView& view, UnitSystem units) {
  std::string text = wrapped(meaning(view, units) + ", along " + label(view.along.key) + ".");
  if (!has_one_risk(view)) return text;
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    const std::string name = curve_name(view, curve, units);
    if (!name.empty()) text += wrapped(label(view.by.key) + " " + name + ":");
    const std::string crossings = crossing_lines(view, curve, units);
    const bool within = point(view, curve, 0).chance->chance <= view.scenario.limits.accepted_risk;
    text += crossings.empty()
                ? wrapped(std::string(within ? "Everywhere" : "Nowhere") +
                              " along it within the accepted risk of " +
                              short_text(100.0 * view.scenario.limits.accepted_risk) + " %.",
                          "  ")
                : crossings;
  }
  return text;
}

std::string curve_json(const CurveView& view, const estimate::Options& options, double elapsed_s) {
  Json object = opening("curve", view.scenario, options, methods_of(view));
  std::uint64_t evaluations = 0;
  for (const CurvePoint& one : view.points) evaluations += one.evaluations;
  object["evaluations"] = evaluations;
  put(object, "elapsed_s", elapsed_s);
  object["along"] = view.along.key;
  object["by"] = view.by.values.empty() ? Json(nullptr) : Json(view.by.key);
  Json points = Json::array();
  Json crossed = Json::array();
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    for (std::size_t i = 0; i < view.values.size(); ++i) {
      points.push_back(point_json(view, curve, i));
    }
    for (const decide::Crossing& crossing : crossings_of(view, curve)) {
      Json one = Json::object();
      put(one, "value", crossing.value);
      one["within"] = crossing.within_below ? "below" : "above";
      if (!view.by.values.empty()) one["by"] = view.by.values[curve];
      crossed.push_back(std::move(one));
    }
  }
  object["points"] = std::move(points);
  object["crossings"] = std::move(crossed);
  put(object, "accepted_risk", view.scenario.limits.accepted_risk);
  return closed(std::move(object));
}

std::string curve_csv(const CurveView& view) {
  std::string text = csv_caution() + csv_field(view.along.key) + ",";
  if (!view.by.values.empty()) text += csv_field(view.by.key) + ",";
  switch (view.request.show) {
    case CurveShow::chance:
    case CurveShow::arrival:
      text += "chance,standard_error,interval_95_low,interval_95_high\n";
      break;
    case CurveShow::amount:
      text += "safe_amount_l,reason\n";
      break;
    case CurveShow::landed:
      text +=
          "mean,standard_deviation,quantile_0.025,quantile_0.05,quantile_0.5,quantile_0.95,"
          "quantile_0.975\n";
      break;
  }
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    for (std::size_t i = 0; i < view.values.size(); ++i) {
      const CurvePoint& one = point(view, curve, i);
      text += csv_number(view.values[i]) + ",";
      if (!view.by.values.empty()) text += csv_field(view.by.values[curve]) + ",";
      if (one.chance) {
        text += csv_number(one.chance->chance) + "," + csv_number(one.chance->standard_error) +
                "," + csv_number(one.chance->interval[0]) + "," +
                csv_number(one.chance->interval[1]);
      } else if (one.landed) {
        text += csv_number(one.landed->mean) + "," + csv_number(one.landed->standard_deviation);
        for (const double quantile : one.landed->quantiles) text += "," + csv_number(quantile);
      } else {
        text += one.litres ? csv_number(*one.litres) + "," : std::string(",") + k_no_amount;
      }
      text += "\n";
    }
  }
  return text;
}

}  // namespace blendrisk::report
