#include "decide/variants.hpp"

#include <algorithm>
#include <cmath>

#include "scenario/told.hpp"
#include "tank/condition.hpp"
#include "tank/known.hpp"

namespace blendrisk::decide {
namespace {

using distributions::Distribution;

constexpr double k_nearly = 1e-3;  // of a step

/// n steps; by division where a step is a fraction of a unit, so that 4937 hundredths are 49.37.
double multiple(double n, double step) {
  const double per_unit = std::round(1.0 / step);
  return std::abs(per_unit * step - 1.0) < 1e-12 ? n / per_unit : n * step;
}

}  // namespace

void require_to_plan(const scenario::Scenario& scenario) {
  if (!scenario::any_shown(scenario)) {
    if (!scenario.heel.burned_l) return;
    throw estimate::ImpossibleScenario(estimate::Impossible::look_to_plan);
  }
  throw estimate::ImpossibleScenario(estimate::Impossible::done, tank::last_figure(scenario));
}

void put_amount(scenario::Scenario& scenario, double amount_l) {
  scenario.fills.back().amount_l = amount_l;
}

void put_indicated(scenario::Scenario& scenario, double indicated_l) {
  scenario.heel.indicated_l = indicated_l;
}

scenario::Scenario one_fill_to_click_off(scenario::Scenario scenario) {
  scenario.fills.resize(1);
  scenario.fills.front().amount_l.reset();
  return scenario;
}

scenario::Scenario two_fills_to_click_off(const scenario::Scenario& scenario,
                                          double second_indicated_l) {
  scenario::Scenario two = one_fill_to_click_off(scenario);
  two.fills.push_back(two.fills.front());
  two.fills.back().indicated_l = second_indicated_l;
  return two;
}

double most_amount(const scenario::Scenario& scenario) {
  const auto quantile = [](const Distribution& law, double p) {
    return distributions::is_exact(law) ? distributions::mean(law)
                                        : distributions::quantile(law, p);
  };
  const double click_off = quantile(scenario.tank.click_off, 1.0 - 1e-6);
  const double meter = quantile(scenario.fills.back().meter_error, 1e-4);
  return std::max(click_off, 0.0) / std::max(1.0 + meter, 0.1);
}

estimate::Options for_solving(const estimate::Options& options) {
  estimate::Options solving;
  solving.seed = options.seed;
  solving.threads = options.threads;
  solving.precision = std::min(options.precision, solving.precision);
  solving.decision_serves = options.decision_serves;
  solving.most_counted = options.most_counted;
  return solving;
}

estimate::Methods methods_of_solving(const scenario::Scenario& scenario,
                                     const estimate::Options& options) {
  estimate::Methods methods =
      tank::methods_of_outside(sampling::CaseInputs(scenario), for_solving(options));
  // What is confirmed by counting was found on points.
  methods.points = methods.crude;
  return methods;
}

double rounded_up(double value, double step) {
  return multiple(std::ceil(value / step - k_nearly), step);
}

double rounded_down(double value, double step) {
  return multiple(std::floor(value / step + k_nearly), step);
}

double rounded(double value, double step) {
  return multiple(std::round(value / step), step);
}

}  // namespace blendrisk::decide
