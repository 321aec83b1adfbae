#include "decide/fill.hpp"

#include <algorithm>
#include <cmath>

#include "decide/acceptable.hpp"
#include "decide/variants.hpp"
#include "estimate/landing.hpp"

namespace blendrisk::decide {
namespace {

/// The amounts that a search finds within the risk, on the steps of the dispenser.
struct Amounts {
  std::vector<Span> spans;
  double least_at = 0.0;  ///< where the chance is least, of what was tried
  double most = 0.0;      ///< where the search ends
};

Amounts amounts(const scenario::Scenario& scenario, std::uint64_t seed, double step_l,
                std::uint64_t& evaluations, const Effort& effort = {}) {
  scenario::Scenario metered = scenario;
  const double most = rounded_up(most_amount(scenario), step_l);
  put_amount(metered, 0.75 * most);
  estimate::CommonPoints points(metered, seed, effort.grid);
  const Acceptable found =
      acceptable(points, put_amount, 0.0, most, scenario.limits.accepted_risk, effort);
  evaluations += points.evaluations();
  Amounts result;
  result.least_at = rounded_up(found.least_at, step_l);
  result.most = most;
  for (const Span& span : found.spans) {
    const Span shown{rounded_up(span.low, step_l),
                     span.high < most ? rounded_down(span.high, step_l) : most};
    if (shown.low <= shown.high) result.spans.push_back(shown);  // else too narrow for the display
  }
  return result;
}

/// Chances at amounts, each by an estimate of its own: the search's points may be a hair too kind.
class Fresh {
 public:
  /// @throws estimate::ImpossibleScenario where even `most_l` may leave the tank empty
  Fresh(const scenario::Scenario& scenario, double most_l, const estimate::Options& options,
        double step_l, std::uint64_t& evaluations)
      : scenario_(scenario), options_(for_solving(options)), step_(step_l), used_(evaluations) {
    put_amount(scenario_, most_l);
    estimate::require_fuel(sampling::CaseInputs(scenario_));
  }

  /// None where the amount may leave the tank empty, whose content is nothing.
  std::optional<estimate::Estimate> outside(double amount_l) {
    put_amount(scenario_, amount_l);
    try {
      const auto result = estimate::estimate_outside(scenario_, options_);
      used_ += result.evaluations;
      return result.estimate;
    } catch (const estimate::ImpossibleScenario&) {
      return {};
    }
  }

  bool within(double amount_l) {
    const auto found = outside(amount_l);
    return found && found->chance <= scenario_.limits.accepted_risk * k_rounding;
  }

  /// The amount nearest to `from` that is within the risk, on steps towards `to`: steps that double
  /// until one is, then halves of the last.
  std::optional<double> nearest(double from, double to) {
    if (within(from)) return from;
    const double steps = std::ceil(std::abs(to - from) / step_);
    const auto at = [&](double k) {
      if (k >= steps) return to;
      return to > from ? rounded_up(from + k * step_, step_)
                       : rounded_down(from - k * step_, step_);
    };
    double bad = 0.0;
    double good = 1.0;
    while (good < steps && !within(at(good))) {
      bad = good;
      good *= 2.0;
    }
    if (good >= steps) {
      good = steps;
      if (good <= bad || !within(at(good))) return {};
    }
    while (good - bad > 1.0) {
      const double middle = std::floor(0.5 * (bad + good));
      (within(at(middle)) ? good : bad) = middle;
    }
    return at(good);
  }

 private:
  scenario::Scenario scenario_;
  estimate::Options options_;
  double step_;
  std::uint64_t& used_;
};

/// The smallest amount within the risk of any span from `first` on, which is moved to that one.
std::optional<double> smallest(const Amounts& found, Fresh& fresh, std::size_t& first) {
  for (; first < found.spans.size(); ++first) {
    const Span& span = found.spans[first];
    if (const auto amount = fresh.nearest(span.low, span.high)) return amount;
    const bool has_least = span.low <= found.least_at && found.least_at <= span.high;
    if (has_least && fresh.within(found.least_at)) return found.least_at;
  }
  return {};
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

Instead what_instead(const scenario::Scenario& scenario, double least_at_l,
                     const estimate::Estimate& least, const estimate::Options& options,
                     double gauge_step_l, std::uint64_t& evaluations) {
  Instead instead;
  instead.least_chance = least.chance;
  instead.least_at_l = least_at_l;
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
  const Amounts found = amounts(scenario, options.seed, step_l, evaluations, effort);
  Fresh fresh(scenario, found.most, options, step_l, evaluations);
  std::size_t span = 0;
  return smallest(found, fresh, span);
}

FillResult solve_fill(const scenario::Scenario& scenario, const estimate::Options& options,
                      double step_l, double gauge_step_l) {
  FillResult result;
  std::uint64_t exact_cases = 0;
  const Amounts nominal = amounts(at_means(scenario), options.seed, step_l, exact_cases);
  if (!nominal.spans.empty()) result.nominal_amount_l = nominal.spans.front().low;
  const Amounts found = amounts(scenario, options.seed, step_l, result.evaluations);
  Fresh fresh(scenario, found.most, options, step_l, result.evaluations);
  result.room_l = room(scenario);
  if (result.nominal_amount_l) {
    result.outside_at_nominal = fresh.outside(*result.nominal_amount_l);
  }
  std::size_t span = 0;
  const std::optional<double> safe = smallest(found, fresh, span);
  if (!safe) {
    result.reason =
        "no amount keeps the chance of landing outside the limits within the accepted risk";
    // Where that may leave the tank empty, the least that there is.
    for (const double amount_l : {found.least_at, step_l, found.most}) {
      const auto least = fresh.outside(amount_l);
      if (!least) continue;
      result.instead =
          what_instead(scenario, amount_l, *least, options, gauge_step_l, result.evaluations);
      break;
    }
    return result;
  }
  if (found.spans[span].high < found.most) {
    result.largest_amount_l = fresh.nearest(found.spans[span].high, *safe);
    result.again_from_l = smallest(found, fresh, ++span);
  }
  result.at_safe = at_amount(scenario, *safe, for_solving(options));
  result.evaluations += result.at_safe->evaluations;
  result.safe_amount_l = safe;
  if (result.nominal_amount_l) {
    result.margin_l = rounded(*safe - *result.nominal_amount_l, step_l);
    const auto& price = scenario.fills.back().price_per_l;
    if (price) result.margin_cost = *result.margin_l * *price;
  }
  return result;
}

}  // namespace blendrisk::decide
