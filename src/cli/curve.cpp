#include "decide/sweep.hpp"

#include <algorithm>
#include <stdexcept>

#include "answer/curve.hpp"
#include "cli/answering.hpp"
#include "render/csv.hpp"
#include "render/text.hpp"
#include "scenario/keys.hpp"
#include "scenario/reading_text.hpp"
#include "text/quoting.hpp"
#include "units/quantity.hpp"
#include "units/tank_share.hpp"

namespace blendrisk::cli {
namespace {

using decide::Show;
using text::in_quotes;

constexpr std::size_t k_most_points = 100'000;

/// The values of the axis in inner units; shares of the tank are of `capacity_l`.
std::vector<double> values_of(const scenario::Axis& axis, double capacity_l) {
  const scenario::Key& key = *scenario::find_key(axis.key);
  const bool gauge = key.kind == scenario::Kind::gauge;
  if (!has_number(key)) {
    throw Error("--along: " + axis.key + " is no number; a key with a quantity is accepted");
  }
  std::vector<double> values;
  for (const std::string& text : axis.values) {
    const auto share = gauge ? units::tank_share(text) : std::nullopt;
    try {
      values.push_back(share ? *share * capacity_l : units::parse_quantity(text, key.dimension));
    } catch (const Error& error) {
      throw Error(in_quotes(text) + " is no place on an axis", error.accepted, {"--along"});
    }
  }
  if (values.size() < 2) throw Error("--along: a curve needs two values at least");
  const bool rises = std::is_sorted(values.begin(), values.end(), std::less_equal<>());
  const bool falls = std::is_sorted(values.begin(), values.end(), std::greater_equal<>());
  if (!rises && !falls) {
    throw Error(
        "--along: the values neither rise nor fall throughout; values in order are "
        "accepted");
  }
  return values;
}

line::Moment moment_after(const std::string& text) {
  using By = line::Moment::By;
  const auto place = scenario::parse_place(text);
  if (place && place->at >= 0.0 && place->at <= 1e6) {
    return {place->by_time ? By::time : By::burned, place->at};
  }
  throw Error("--after: " + in_quotes(text) +
              " is not accepted; what was burned or a time, such as 0.4 L or 10 min");
}

answer::CurveView curve_view(const Call& call) {
  const Arguments& arguments = call.arguments;
  answer::CurveView view;
  if (arguments.along.empty()) {
    throw Error("curve: --along is needed, as in --along heel.indicated=2:20:0.5L");
  }
  view.along = scenario::parse_axis(arguments.along, "along");
  if (!arguments.by.empty()) {
    view.by = scenario::parse_axis(arguments.by, "by");
    if (view.by.key == view.along.key) {
      throw Error("--by: goes along the key of --along; another key is accepted");
    }
    if (view.by.values.size() > answer::k_most_lines) {
      throw Error("--by: has more than " + std::to_string(answer::k_most_lines) +
                  " values; fewer curves are accepted");
    }
  }
  require_at_most(call, k_most_points, "points", view.along.values.size() * view.curves());
  view.request.show = arguments.show == "amount"    ? Show::amount
                      : arguments.show == "landed"  ? Show::landed
                      : arguments.show == "arrival" ? Show::arrival
                                                    : Show::chance;
  const bool arrival = view.request.show == Show::arrival;
  if (arrival == arguments.after.empty()) {
    throw Error(arrival ? "curve: --show arrival needs --after, what was burned or a time, "
                          "such as --after \"0.4 L\""
                        : "--after: goes with --show arrival");
  }
  if (arrival) view.request.after = moment_after(arguments.after);
  if (view.request.show == Show::amount &&
      (view.along.key == "fill.amount" || view.by.key == "fill.amount")) {
    throw Error(
        "curve: the safe amount does not depend on fill.amount; another key is "
        "accepted");
  }
  view.request.step_l = answer::dispenser_step(arguments.units);
  view.log_scale = !arguments.linear;
  return view;
}

/// Where each curve crosses the accepted risk, by fresh estimates between its points.
void add_crossings(const Arguments& arguments, const ScenarioFile& file, answer::CurveView& view) {
  const answer::ShownUnit unit =
      answer::shown_unit(scenario::find_key(view.along.key)->dimension, answer::UnitSystem::metric);
  const std::size_t each = view.values.size();
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    const auto first = view.points.begin() + static_cast<std::ptrdiff_t>(curve * each);
    const std::vector<decide::Cell> points(first, first + static_cast<std::ptrdiff_t>(each));
    view.crossings.push_back(decide::find_crossings(
        view.values, points, view.scenario.limits.accepted_risk, [&](double value) {
          std::vector<scenario::Override> overrides = arguments.overrides;
          std::string text = answer::exact_text(value * unit.factor);
          if (!unit.name.empty()) text += " " + unit.name;
          overrides.push_back({view.along.key, text, true});
          const auto scenario = file.read(placed(std::move(overrides), view.by, curve));
          return decide::swept(scenario, view.request, arguments.options).chance->chance;
        }));
  }
}

Answer answer_curve(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  answer::CurveView view = curve_view(call);
  const ScenarioFile file(arguments.scenario_path);
  view.scenario = file.read(arguments.overrides);
  view.values = values_of(view.along, view.scenario.tank.capacity_l);
  const auto is_share = [](const std::string& text) { return units::tank_share(text).has_value(); };
  if (view.by.key == "tank.capacity" &&
      std::any_of(view.along.values.begin(), view.along.values.end(), is_share)) {
    throw Error(
        "--along: goes along shares of the tank, and --by along tank.capacity; volumes "
        "such as 4 L are accepted");
  }
  if (view.request.show == Show::arrival) {
    computed({arguments.scenario_path}, [&] {
      const sampling::CaseInputs inputs(view.scenario, sampling::Scope::line);
      view.target = line::target_of(line::Line(inputs));
    });
  }
  const std::size_t each = view.values.size();
  const auto scenario_of = [&](std::size_t i) {
    return file.read(placed(placed(arguments.overrides, view.along, i % each), view.by, i / each));
  };
  view.points = swept(call, "points", "at a point, ", [&](const auto& progress) {
    return decide::swept(0, each * view.curves(), scenario_of, view.request, arguments.options,
                         progress);
  });
  if (view.has_one_risk()) add_crossings(arguments, file, view);
  write_figure_or_data(
      arguments,
      [&] {
        return text::at({"curve: nothing to draw"},
                        [&] { return answer::curve_figure(view, arguments.units); });
      },
      [&] { return render::curve_csv(view); });
  if (!arguments.output.empty() && !arguments.json) {
    return {render::written_text(arguments.output, answer::summary(view, arguments.units),
                                 arguments.units)};
  }
  return {told(arguments, view.scenario, view, watch.seconds())};
}

}  // namespace

extern const Command k_curve{
    .name = "curve",
    .question = "a risk curve along a key, as a picture or as data",
    .usage = "SCENARIO.ini --along AXIS [--by AXIS] [--output FILE] [options]",
    .about =
        R"(A risk curve along any key with a quantity, as text, data or a picture: the chance of landing
outside the limits, the safe amount, the landed content with its middle 95 %, or the chance that
the injectors still get fuel outside the limit after burning so much. An axis is KEY=FROM:TO:STEP
or "KEY=V1; V2; V3"; a plain quantity given to an uncertain key moves its law there and keeps its
shape.
  blendrisk curve car.ini --along heel.indicated=2:12:0.2L \
    --by "fuel.content=74 %; 78 %" --output risk.svg
Pictures are drawn by gnuplot; a .csv needs none.
)",
    .options = "json seed threads precision cases method units along by after scale show output",
    .answer = answer_curve,
    .output = ".csv .svg .png .pdf",
    .shows = "chance amount landed arrival"};

}  // namespace blendrisk::cli
