#include "decide/curve.hpp"

#include <algorithm>
#include <chrono>
#include <stdexcept>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/interrupt.hpp"
#include "cli/output.hpp"
#include "cli/scenario_file.hpp"
#include "report/csv.hpp"
#include "report/curve_text.hpp"
#include "report/written_text.hpp"
#include "scenario/keys.hpp"
#include "scenario/quoting.hpp"
#include "scenario/reading_text.hpp"
#include "units/quantity.hpp"
#include "units/tank_share.hpp"

namespace blendrisk::cli {
namespace {

using decide::CurveShow;
using scenario::in_quotes;

constexpr std::size_t k_most_points = 100'000;

/// The values of the axis in inner units; shares of the tank are of `capacity_l`.
std::vector<double> values_of(const scenario::Axis& axis, double capacity_l) {
  const scenario::Key& key = *scenario::find_key(axis.key);
  using scenario::Kind;
  const bool gauge = key.kind == Kind::gauge;
  const bool numeric = gauge || key.kind == Kind::quantity || key.kind == Kind::uncertain ||
                       key.kind == Kind::amount;
  if (!numeric) {
    throw UsageError("--along: " + axis.key + " is no number; a key with a quantity is accepted");
  }
  std::vector<double> values;
  for (const std::string& text : axis.values) {
    const auto share = gauge ? units::tank_share(text) : std::nullopt;
    try {
      values.push_back(share ? *share * capacity_l : units::parse_quantity(text, key.dimension));
    } catch (const units::QuantityError& error) {
      throw UsageError("--along: " + in_quotes(text) + " is no place on an axis; " +
                       error.accepted);
    }
  }
  if (values.size() < 2) throw UsageError("--along: a curve needs two values at least");
  const bool rises = std::is_sorted(values.begin(), values.end(), std::less_equal<>());
  const bool falls = std::is_sorted(values.begin(), values.end(), std::greater_equal<>());
  if (!rises && !falls) {
    throw UsageError(
        "--along: the values neither rise nor fall throughout; values in order are "
        "accepted");
  }
  return values;
}

estimate::Moment moment_of(const std::string& text) {
  using By = estimate::Moment::By;
  const auto place = scenario::parse_place(text);
  if (place && place->at >= 0.0 && place->at <= 1e6) {
    return {place->by_time ? By::time : By::burned, place->at};
  }
  throw UsageError("--after: " + in_quotes(text) +
                   " is not accepted; what was burned or a time, such as 0.4 L or 10 min");
}

report::CurveView view_of(const Arguments& arguments) {
  report::CurveView view;
  if (arguments.along.empty()) {
    throw UsageError("curve: --along is needed, as in --along heel.indicated=2:20:0.5L");
  }
  view.along = scenario::parse_axis(arguments.along, "along");
  if (!arguments.by.empty()) {
    view.by = scenario::parse_axis(arguments.by, "by");
    if (view.by.key == view.along.key) {
      throw UsageError("--by: goes along the key of --along; another key is accepted");
    }
    if (view.by.values.size() > report::k_most_lines) {
      throw UsageError("--by: has more than " + std::to_string(report::k_most_lines) +
                       " values; fewer curves are accepted");
    }
  }
  if (view.along.values.size() * view.curves() > k_most_points) {
    throw UsageError("curve: there are more than 100000 points; fewer are accepted");
  }
  view.request.show = arguments.curve_show.value_or(CurveShow::chance);
  const bool arrival = view.request.show == CurveShow::arrival;
  if (arrival == arguments.after.empty()) {
    throw UsageError(arrival ? "curve: --show arrival needs --after, what was burned or a time, "
                               "such as --after \"0.4 L\""
                             : "--after: goes with --show arrival");
  }
  if (arrival) view.request.after = moment_of(arguments.after);
  if (view.request.show == CurveShow::amount &&
      (view.along.key == "fill.amount" || view.by.key == "fill.amount")) {
    throw UsageError(
        "curve: the safe amount does not depend on fill.amount; another key is "
        "accepted");
  }
  view.request.step_l = report::dispenser_step(arguments.units);
  view.log_scale = !arguments.linear;
  return view;
}

/// Where each curve crosses the accepted risk, by fresh estimates between its points.
void add_crossings(const Arguments& arguments, const ScenarioFile& file, report::CurveView& view) {
  const report::ShownUnit unit =
      report::shown_unit(scenario::find_key(view.along.key)->dimension, report::UnitSystem::metric);
  const std::size_t each = view.values.size();
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    const auto first = view.points.begin() + static_cast<std::ptrdiff_t>(curve * each);
    const std::vector<decide::CurvePoint> points(first, first + static_cast<std::ptrdiff_t>(each));
    view.crossings.push_back(decide::find_crossings(
        view.values, points, view.scenario.limits.accepted_risk, [&](double value) {
          std::vector<scenario::Override> overrides = arguments.overrides;
          std::string text = report::csv_number(value * unit.factor);
          if (!unit.name.empty()) text += " " + unit.name;
          overrides.push_back({view.along.key, text, true});
          if (!view.by.values.empty()) {
            overrides.push_back({view.by.key, view.by.values[curve], true});
          }
          return decide::curve_point(file.read(overrides), view.request, arguments.options)
              .chance->chance;
        }));
  }
}

}  // namespace

Answer answer_curve(const Arguments& arguments, std::ostream& err) {
  const auto start = std::chrono::steady_clock::now();
  report::CurveView view = view_of(arguments);
  const auto format = picture_format(arguments.output);
  const ScenarioFile file(arguments.scenario_path);
  view.scenario = file.read(arguments.overrides);
  view.values = values_of(view.along, view.scenario.tank.capacity_l);
  const auto is_share = [](const std::string& text) { return units::tank_share(text).has_value(); };
  if (view.by.key == "tank.capacity" &&
      std::any_of(view.along.values.begin(), view.along.values.end(), is_share)) {
    throw UsageError(
        "--along: goes along shares of the tank, and --by along tank.capacity; volumes "
        "such as 4 L are accepted");
  }
  answered(arguments, [&] {
    if (view.request.show != CurveShow::arrival) return;
    const sampling::CaseInputs inputs(view.scenario, sampling::Scope::line);
    view.target = estimate::target_of(estimate::Line(inputs));
  });
  const std::size_t each = view.values.size();
  const auto scenario_of = [&](std::size_t i) {
    std::vector<scenario::Override> overrides = arguments.overrides;
    overrides.push_back({view.along.key, view.along.values[i % each], true});
    if (!view.by.values.empty()) {
      overrides.push_back({view.by.key, view.by.values[i / each], true});
    }
    return file.read(overrides);
  };
  {
    const InterruptGuard guard;
    ProgressLine line(err);
    try {
      view.points = decide::curve_points(each * view.curves(), scenario_of, view.request,
                                         arguments.options, [&](std::size_t done, std::size_t all) {
                                           line.show(done, all, "points");
                                           return !InterruptGuard::interrupted();
                                         });
    } catch (const estimate::ImpossibleScenario& error) {
      throw scenario::InputError(std::string("curve: at a point, ") + error.what());
    }
    InterruptGuard::check();
  }
  if (report::has_one_risk(view)) add_crossings(arguments, file, view);
  if (format) {
    try {
      write_picture(arguments.output, report::curve_figure(view, arguments.units), *format);
    } catch (const std::invalid_argument& error) {
      throw UsageError(std::string("curve: nothing to draw: ") + error.what());
    }
  } else if (!arguments.output.empty()) {
    write_output(arguments.output, report::curve_csv(view));
  }
  if (!arguments.output.empty() && !arguments.json) {
    return {report::written_text(arguments.output, report::curve_summary(view, arguments.units)),
            k_answered};
  }
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  return {arguments.json ? report::curve_json(view, arguments.options, elapsed.count())
                         : report::curve_text(view, arguments.options, arguments.units),
          k_answered};
}

}  // namespace blendrisk::cli
