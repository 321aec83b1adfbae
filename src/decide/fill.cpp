#include "decide/fill.hpp"

#include <algorithm>
#include <cmath>

#include "decide/allowed.hpp"
#include "decide/variants.hpp"
#include "numeric/solve.hpp"
#include "scenario/way.hpp"
#include "tank/between_fills.hpp"
#include "tank/linear_blend.hpp"
#include "tank/within_risk.hpp"

namespace blendrisk::decide {
namespace {

estimate::ChanceResult at_amount(scenario::Scenario scenario, double amount_l,
                                 const estimate::Options& options) {
  put_amount(scenario, amount_l);
  return tank::estimate_chance(scenario, options);
}

double room(const scenario::Scenario& scenario) {
  scenario::Scenario full = scenario::at_means(scenario);
  full.fills.back().amount_l.reset();
  const sampling::CaseInputs inputs(full);
  sampling::CaseBatch batch(inputs, 1);
  estimate::BlendColumns columns(1);
  tank::LinearBlend(inputs, {}).evaluate(batch, 1, columns);
  return *columns.total() - *columns.heel();
}

/// The content that a tested pump has to show for filling to click-off to do, solved to 0.01 %.
std::optional<double> tested_content(const scenario::Scenario& scenario,
                                     const estimate::Options& options, bool at_least,
                                     estimate::Effort& effort) {
  // A round of its own size: whether a chance lies within the risk needs no 1 % of a tiny one.
  estimate::Options rounds = options;
  rounds.cases = std::uint64_t{1} << 15U;
  const std::string pump =
      key_of(scenario::Uncertain::content, scenario.fills.size() - 1)->full_name();
  const auto does = [&](double content) {
    scenario::Scenario tested = scenario::known_at(scenario, pump, content);
    tested.fills.back().amount_l.reset();
    const auto within = tank::outside_within_risk(sampling::CaseInputs(tested), rounds);
    effort.evaluations += within.effort.evaluations;
    return within.value;
  };
  constexpr int k_all = 10000;
  const auto content = [&](int step) { return (at_least ? step : k_all - step) / 10000.0; };
  const auto step_does = [&](int step) { return does(content(step)); };
  if (step_does(0)) return {};  // no test needed
  if (!step_does(k_all)) return {};
  return content(numeric::first_step(0, k_all, step_does));
}

Instead what_instead(const scenario::Scenario& scenario, double least_at_l,
                     const estimate::Estimate& least, const estimate::Options& options,
                     double gauge_step_l, estimate::Effort& effort) {
  Instead instead;
  instead.least_chance = least.chance;
  instead.least_at_l = least_at_l;
  const estimate::Options quick = for_solving(options);
  scenario::Scenario full = scenario;
  full.fills.back().amount_l.reset();
  const auto found = readings_within_risk(full, quick, gauge_step_l);
  effort.evaluations += found.effort.evaluations;
  const auto& readings = found.value;
  if (readings && readings->highest < scenario::reading_at_pump(scenario)) {
    instead.highest_heel_l = readings->highest;
    instead.dry_risk_at_highest = dry_chance(scenario, options, readings->highest);
  }
  // Which way the fuel has to go: away from the limit that the old fuel is beyond.
  const double old_fuel =
      scenario.heel.content ? distributions::mean(*scenario.heel.content) : *scenario.heel.reading;
  const scenario::Limits& limits = scenario.limits;
  instead.tested_at_least = limits.minimum && old_fuel < *limits.minimum;
  const distributions::Distribution& pump = scenario.fills.back().content;
  if (!distributions::is_exact(pump)) {
    instead.tested_content = tested_content(scenario, quick, instead.tested_at_least, effort);
  }
  if (instead.tested_content) {
    // A test that this pump hardly ever passes is no advice.
    constexpr double k_hardly_ever = 0.01;
    const double passes = instead.tested_at_least
                              ? distributions::complement(pump, *instead.tested_content)
                              : distributions::cdf_below(pump, *instead.tested_content);
    if (passes < k_hardly_ever) instead.tested_content.reset();
  }
  if (scenario.fills.size() == 1) {
    const auto second = highest_second_reading(scenario, quick, gauge_step_l);
    effort.evaluations += second.effort.evaluations;
    instead.second_heel_l = second.value;
    // Not one that runs the tank dry.
    const auto lowest_dry = lowest_reading(scenario, quick, gauge_step_l);
    if (instead.second_heel_l && (!lowest_dry || *instead.second_heel_l < *lowest_dry)) {
      instead.second_heel_l.reset();
    }
    if (instead.second_heel_l) {
      instead.between =
          tank::between_fills(two_fills_to_click_off(scenario, *instead.second_heel_l), quick);
    }
  }
  return instead;
}

}  // namespace

estimate::Found<std::optional<double>> safe_amount(const scenario::Scenario& scenario,
                                                   const estimate::Options& options, double step_l,
                                                   estimate::SidesNearby* nearby) {
  AmountSearch search(scenario, options, step_l, {}, Ends::lowest, nearby);
  const auto least = search.least();
  return {least, search.effort()};
}

FillResult solve_fill(const scenario::Scenario& scenario, const estimate::Options& options,
                      double step_l, double gauge_step_l) {
  require_to_plan(scenario);
  FillResult result;
  result.effort.methods = methods_of_solving(scenario, options);
  result.nominal_amount_l = amount_by_arithmetic(scenario, options.seed, step_l);
  AmountSearch search(scenario, options, step_l);
  result.room_l = room(scenario);
  if (result.nominal_amount_l) {
    result.outside_at_nominal = search.outside(*result.nominal_amount_l);
  }
  const auto allowed = search.allowed();
  if (!allowed) {
    // Where that may leave the tank empty, the least that there is.
    for (const double amount_l : {search.least_at(), step_l, search.most()}) {
      const auto least = search.outside(amount_l);
      if (!least) continue;
      result.instead =
          what_instead(scenario, amount_l, *least, options, gauge_step_l, result.effort);
      break;
    }
    result.effort.evaluations += search.effort().evaluations;
    return result;
  }
  result.safe_amount_l = allowed->least;
  result.largest_amount_l = allowed->largest;
  result.again_from_l = allowed->again_from;
  result.at_safe = at_amount(scenario, allowed->least, for_solving(options));
  result.effort.evaluations += search.effort().evaluations + result.at_safe->effort.evaluations;
  if (result.nominal_amount_l) {
    result.margin_l = rounded(allowed->least - *result.nominal_amount_l, step_l);
    const auto& price = scenario.fills.back().price_per_l;
    if (price) result.margin_cost = *result.margin_l * *price;
  }
  return result;
}

}  // namespace blendrisk::decide
