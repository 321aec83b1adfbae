#include "decide/variants.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "estimate/known.hpp"
#include "numeric/arrays.hpp"

namespace blendrisk::decide {
namespace {

using distributions::Distribution;

constexpr double kNearly = 1e-3;  // of a step

void make_exact(Distribution& law, double low, double high) {
  law = distributions::exact(std::clamp(distributions::mean(law), low, high));
}

/// n steps; by division where a step is a fraction of a unit, so that 4937 hundredths are 49.37.
double multiple(double n, double step) {
  const double per_unit = std::round(1.0 / step);
  return std::abs(per_unit * step - 1.0) < 1e-12 ? n / per_unit : n * step;
}

}  // namespace

scenario::Scenario at_means(scenario::Scenario scenario) {
  constexpr double kFar = 1e12;
  make_exact(scenario.tank.click_off, 0.0, kFar);
  make_exact(scenario.heel.gauge_error, -kFar, kFar);
  if (scenario.heel.content) make_exact(*scenario.heel.content, 0.0, 1.0);
  make_exact(scenario.sensor.bias, -1.0, 1.0);
  for (scenario::Fill& fill : scenario.fills) {
    make_exact(fill.content, 0.0, 1.0);
    make_exact(fill.meter_error, -1.0, 1.0);
    make_exact(fill.hose_volume, 0.0, kFar);
    make_exact(fill.hose_content, 0.0, 1.0);
    make_exact(fill.burn_first, 0.0, kFar);
  }
  return scenario;
}

scenario::Scenario known_at(scenario::Scenario scenario, std::size_t slot, double value) {
  // Beyond this a score says no more than that the value is at an end of the law.
  constexpr double k_far = 6.0;
  const std::string key = sampling::CaseInputs(scenario).key(slot);
  const distributions::Distribution& law = estimate::law_of(scenario, slot);
  const double share =
      std::clamp(0.5 * (distributions::cdf_below(law, value) + distributions::cdf(law, value)),
                 1e-300, 1.0 - 1e-16);
  const double score = std::clamp(numeric::normal_quantile(share), -k_far, k_far);
  return estimate::known_at(std::move(scenario), slot, key, value, score);
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
  return solving;
}

estimate::Methods methods_of_solving(const scenario::Scenario& scenario,
                                     const estimate::Options& options) {
  estimate::Methods methods =
      estimate::methods_of_outside(sampling::CaseInputs(scenario), for_solving(options));
  // What is confirmed by counting was found on points.
  methods.points = methods.plain;
  return methods;
}

double rounded_up(double value, double step) {
  return multiple(std::ceil(value / step - kNearly), step);
}

double rounded_down(double value, double step) {
  return multiple(std::floor(value / step + kNearly), step);
}

double rounded(double value, double step) {
  return multiple(std::round(value / step), step);
}

}  // namespace blendrisk::decide
