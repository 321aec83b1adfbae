#include "scenario/told.hpp"

#include <algorithm>
#include <utility>

#include "scenario/keys.hpp"
#include "scenario/way.hpp"

namespace blendrisk::scenario {
namespace {

/// Half the middle two thirds; 0 where the law has steps.
double spread_of(const Distribution& law) {
  if (distributions::is_exact(law)) return 0.0;
  const double low = distributions::quantile(law, 1.0 / 6.0);
  const double high = distributions::quantile(law, 5.0 / 6.0);
  const double middle = distributions::quantile(law, 0.5);
  const bool steps = distributions::cdf(law, middle) > distributions::cdf_below(law, middle);
  return steps ? 1e-9 * (high - low) : 0.5 * (high - low);
}

/// Whether what was in the tank may have been nothing.
bool may_have_been_empty(const Scenario& scenario, double click_off_spread, double meter_spread) {
  constexpr double k_never = 1e-12;
  constexpr double k_far = 8.0;  // spreads
  // On the way to the pump it may have been burned.
  if (!is_on_the_way(scenario) &&
      distributions::cdf(scenario.heel.gauge_error, -scenario.heel.indicated_l) < k_never) {
    return false;
  }
  const Fill& fill = scenario.fills.front();
  const double delivered = *fill.shown_l * (1.0 + distributions::quantile(fill.meter_error, 0.5));
  const double left = distributions::quantile(scenario.tank.click_off, 0.5) - delivered;
  return left < k_far * (click_off_spread + meter_spread);
}

}  // namespace

bool any_shown(const Scenario& scenario) {
  return std::any_of(scenario.fills.begin(), scenario.fills.end(),
                     [](const Fill& fill) { return fill.shown_l.has_value(); });
}

std::string figure_key(std::size_t fill) {
  return (fill == 0 ? "fill" : "fill-" + std::to_string(fill + 1)) + ".shown";
}

Scenario as_planned(Scenario scenario) {
  for (Fill& fill : scenario.fills) fill.shown_l.reset();
  return scenario;
}

std::optional<Uncertain> told_by_gauge(const Scenario& scenario) {
  if (!scenario.heel.burned_l) return {};
  const auto relative = [](const Distribution& law) {
    return spread_of(law) / distributions::quantile(law, 0.5);
  };
  const double distance = relative(*scenario.heel.to_pump);
  const double economy = relative(*scenario.engine.economy);
  if (!(distance > 0.0) && !(economy > 0.0)) return {};
  return distance > economy ? Uncertain::to_pump : Uncertain::economy;
}

std::optional<Uncertain> told_by_dispenser(const Scenario& scenario, std::size_t fill) {
  const Fill& done = scenario.fills[fill];
  if (!done.shown_l || done.stopped_by != StoppedBy::click_off) return {};
  const double meter = *done.shown_l * spread_of(done.meter_error);
  std::pair<double, std::optional<Uncertain>> widest{meter, {}};
  if (meter > 0.0) widest.second = Uncertain::meter_error;
  const auto consider = [&widest](double spread, Uncertain input) {
    if (spread > widest.first) widest = {spread, input};
  };
  if (fill > 0) {
    if (!done.indicated_l) consider(spread_of(done.burn_first), Uncertain::burn_first);
    return widest.second;
  }
  const double click_off = spread_of(scenario.tank.click_off);
  consider(click_off, Uncertain::click_off);
  const bool empty = may_have_been_empty(scenario, click_off, meter);
  if (!empty || !widest.second)
    consider(spread_of(scenario.heel.gauge_error), Uncertain::gauge_error);
  return widest.second;
}

}  // namespace blendrisk::scenario
