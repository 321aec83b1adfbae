#include "decide/fill.hpp"

#include <algorithm>
#include <cmath>

#include "decide/acceptable.hpp"
#include "decide/variants.hpp"

namespace blendrisk::decide {
namespace {

/// Amounts within the risk, as the dispenser shows them.
struct Amounts {
  std::optional<double> smallest, largest, again_from;
  double least_chance = 1.0, least_at = 0.0;
};

Amounts amounts(const scenario::Scenario& scenario, std::uint64_t seed, double step_l,
                std::uint64_t& evaluations, const Effort& effort = {}) {
  scenario::Scenario metered = scenario;
  const double most = most_amount(scenario);
  put_amount(metered, 0.75 * most);
  estimate::CommonPoints points(metered, seed, effort.grid);
  const Acceptable found =
      acceptable(points, put_amount, 0.0, most, scenario.limits.accepted_risk, effort);
  evaluations += points.evaluations();
  Amounts result;
  result.least_chance = found.least_chance;
  result.least_at = found.least_at;
  for (const Span& span : found.spans) {
    const double shown = rounded_up(span.low, step_l);
    if (shown > span.high && span.high < most) continue;  // too narrow for the display
    if (result.smallest) {
      result.again_from = shown;
      break;
    }
    result.smallest = shown;
    if (span.high < most) result.largest = rounded_down(span.high, step_l);
  }
  return result;
}

estimate::ChanceResult at_amount(scenario::Scenario scenario, double amount_l,
                                 const estimate::Options& options) {
  put_amount(scenario, amount_l);
  return estimate::estimate_chance(scenario, options);
}

double room(const scenario::Scenario& scenario) {
  scenario::Scenario full = at_means(scenario);
  full.fills.back().amount_l.reset();
  const sampling::CaseInputs inputs(full);
  const sampling::CaseBatch batch(inputs, 1);
  estimate::LandingColumns columns(1);
  estimate::Landing(inputs, {}).evaluate(batch, 1, columns);
  return *columns.total() - *columns.heel();
}

/// The content that a tested pump has to show for filling to click-off to do, solved to 0.01 %.
std::optional<double> tested_content(const scenario::Scenario& scenario,
                                     const estimate::Options& options, bool at_least,
                                     std::uint64_t& evaluations) {
  // A round of its own size: whether a chance lies within the risk needs no 1 % of a tiny one.
  estimate::Options rounds = options;
  rounds.cases = std::uint64_t{1} << 15U;
  const std::size_t slot = sampling::Slot::content(scenario.fills.size() - 1);
  const auto does = [&](double content) {
    scenario::Scenario tested = known_at(scenario, slot, content);
    tested.fills.back().amount_l.reset();
    const auto result = estimate::estimate_outside(tested, rounds);
    evaluations += result.evaluations;
    return result.estimate.chance <= scenario.limits.accepted_risk;
  };
  int good = at_least ? 10000 : 0;
  int bad = 10000 - good;
  if (does(bad / 10000.0)) return {};  // no test needed
  if (!does(good / 10000.0)) return {};
  while (std::abs(good - bad) > 1) {
    const int middle = (good + bad) / 2;
    (does(middle / 10000.0) ? good : bad) = middle;
  }
  return good / 10000.0;
}

Instead what_instead(const scenario::Scenario& scenario, const Amounts& found,
                     const estimate::Options& options, double gauge_step_l,
                     std::uint64_t& evaluations) {
  Instead instead;
  instead.least_chance = found.least_chance;
  instead.least_at_l = found.least_at;
  const estimate::Options quick = for_solving(options);
  scenario::Scenario full = scenario;
  full.fills.back().amount_l.reset();
  const auto readings = readings_within_risk(full, quick, gauge_step_l, evaluations);
  if (readings && readings->highest < scenario.heel.indicated_l) {
    instead.highest_heel_l = readings->highest;
  }
  // Which way the fuel has to go: away from the limit that the old fuel is beyond.
  const double old_fuel =
      scenario.heel.content ? distributions::mean(*scenario.heel.content) : *scenario.heel.reading;
  const scenario::Limits& limits = scenario.limits;
  instead.tested_at_least = limits.minimum && old_fuel < *limits.minimum;
  const distributions::Distribution& pump = scenario.fills.back().content;
  if (!distributions::is_exact(pump)) {
    instead.tested_content = tested_content(scenario, quick, instead.tested_at_least, evaluations);
  }
  if (instead.tested_content) {
    // A test that this pump hardly ever passes is no advice.
    constexpr double kHardlyEver = 0.01;
    const double passes = instead.tested_at_least
                              ? distributions::complement(pump, *instead.tested_content)
                              : distributions::cdf_below(pump, *instead.tested_content);
    if (passes < kHardlyEver) instead.tested_content.reset();
  }
  if (scenario.fills.size() == 1) {
    instead.second_heel_l = highest_second_reading(scenario, quick, gauge_step_l, evaluations);
    // Not one that runs the tank dry.
    const auto lowest_dry = lowest_reading(scenario, quick, gauge_step_l);
    if (instead.second_heel_l && (!lowest_dry || *instead.second_heel_l < *lowest_dry)) {
      instead.second_heel_l.reset();
    }
  }
  return instead;
}

}  // namespace

std::optional<double> safe_amount(const scenario::Scenario& scenario,
                                  const estimate::Options& options, double step_l,
                                  std::uint64_t& evaluations, const Effort& effort) {
  return amounts(scenario, options.seed, step_l, evaluations, effort).smallest;
}

FillResult solve_fill(const scenario::Scenario& scenario, const estimate::Options& options,
                      double step_l, double gauge_step_l) {
  FillResult result;
  const double risk = scenario.limits.accepted_risk;
  std::uint64_t exact_cases = 0;
  result.nominal_amount_l = amounts(at_means(scenario), options.seed, step_l, exact_cases).smallest;
  const Amounts found = amounts(scenario, options.seed, step_l, result.evaluations);
  result.room_l = room(scenario);
  const auto outside_at = [&](double amount_l) {
    scenario::Scenario at = scenario;
    put_amount(at, amount_l);
    const auto outside = estimate::estimate_outside(at, for_solving(options));
    result.evaluations += outside.evaluations;
    return outside.estimate;
  };
  if (result.nominal_amount_l) {
    // The arithmetic may ask for nothing where there may be nothing in the tank: no content then.
    try {
      result.outside_at_nominal = outside_at(*result.nominal_amount_l);
    } catch (const estimate::ImpossibleScenario&) {
      result.outside_at_nominal.reset();
    }
  }
  // The search's own points may be a hair too kind: step on until a fresh estimate agrees.
  std::optional<double> safe = found.smallest;
  for (int tries = 0; safe && outside_at(*safe).chance > risk * k_rounding; ++tries) {
    safe = rounded_up(*safe + step_l, step_l);
    if (tries == k_most_steps || (found.largest && *safe > *found.largest)) safe.reset();
  }
  if (!safe) {
    result.reason =
        "no amount keeps the chance of landing outside the limits within the accepted risk";
    result.instead = what_instead(scenario, found, options, gauge_step_l, result.evaluations);
    return result;
  }
  result.at_safe = at_amount(scenario, *safe, for_solving(options));
  result.evaluations += result.at_safe->evaluations;
  result.safe_amount_l = safe;
  result.largest_amount_l = found.largest;
  result.again_from_l = found.again_from;
  if (result.nominal_amount_l) {
    // A difference of two amounts shown is one that can be shown.
    const double margin = *safe - *result.nominal_amount_l;
    result.margin_l = rounded_down(margin + 0.5 * step_l, step_l);
    const auto& price = scenario.fills.back().price_per_l;
    if (price) result.margin_cost = *result.margin_l * *price;
  }
  return result;
}

}  // namespace blendrisk::decide
