#include "decide/allowed.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "decide/nearest.hpp"
#include "decide/variants.hpp"
#include "tank/chance.hpp"
#include "tank/linear_blend.hpp"
#include "tank/within_risk.hpp"

namespace blendrisk::decide {
namespace {

struct Found {
  std::vector<Span> spans;
  bool any = false;  ///< whether any was found, be it too narrow for the display
  double least_at = 0.0, most = 0.0;
};

scenario::Scenario metered(scenario::Scenario scenario, double amount_l) {
  put_amount(scenario, amount_l);
  return scenario;
}

Found searched(const scenario::Scenario& scenario, std::uint64_t seed, double step_l,
               const SearchSize& size, Ends ends, estimate::SidesNearby* nearby,
               estimate::Effort& effort) {
  Found result;
  result.most = rounded_up(most_amount(scenario), step_l);
  tank::CommonRandomNumbers points(metered(scenario, 0.75 * result.most), seed, size.grid, nearby);
  const Acceptable found = acceptable(points, put_amount, 0.0, result.most, step_l,
                                      scenario.limits.accepted_risk, size, ends);
  effort.evaluations += points.evaluations();
  result.least_at = rounded_up(found.least_at, step_l);
  result.any = !found.spans.empty();
  for (const Span& span : found.spans) {
    Span shown{rounded_up(span.low, step_l),
               span.high < result.most ? rounded_down(span.high, step_l) : result.most};
    // The end that was not asked for is somewhere above.
    if (ends == Ends::lowest) shown.high = std::min(std::max(shown.low, shown.high), result.most);
    if (shown.low <= shown.high) result.spans.push_back(shown);  // else too narrow for the display
  }
  return result;
}

}  // namespace

AmountSearch::AmountSearch(const scenario::Scenario& scenario, const estimate::Options& options,
                           double step_l, const SearchSize& size, Ends ends,
                           estimate::SidesNearby* nearby)
    : question_(metered(scenario, 0.0)),
      options_(for_solving(options)),
      step_(step_l),
      nearby_(nearby),
      size_(size) {
  search(ends);
  put_amount(question_.numbers(), most_);
  tank::require_fuel(question_.inputs());
}

void AmountSearch::search(Ends ends) {
  const Found found =
      searched(question_.scenario(), options_.seed, step_, size_, ends, nearby_, effort_);
  spans_ = found.spans;
  least_at_ = found.least_at;
  most_ = found.most;
  only_lowest_ = found.any && ends == Ends::lowest;
}

template <class Ask>
auto AmountSearch::asked(double amount_l, const Ask& ask) -> std::optional<decltype(ask())> {
  put_amount(question_.numbers(), amount_l);
  try {
    const auto found = ask();
    effort_.evaluations += found.effort.evaluations;
    return found;
  } catch (const estimate::ImpossibleScenario&) {
    return {};
  }
}

std::optional<estimate::Estimate> AmountSearch::outside(double amount_l) {
  const auto found =
      asked(amount_l, [&] { return tank::estimate_outside(question_.inputs(), options_); });
  return found ? std::optional(found->estimate) : std::nullopt;
}

bool AmountSearch::within(double amount_l) {
  const auto found = asked(
      amount_l, [&] { return tank::outside_within_risk(question_.inputs(), options_, nearby_); });
  return found && found->value;
}

/// The amount nearest to `from` that is within the risk, towards `to`.
std::optional<double> AmountSearch::nearest(double from, double to) {
  return nearest_within(from, to, step_, [this](double amount_l) { return within(amount_l); });
}

/// An end that is within the risk, moved on towards `most` by single steps while it still is: a
/// rough search may stop some steps short.
double AmountSearch::widened(double end, double most) {
  if (size_.last) return end;  // not rough
  const bool up = most > end;
  for (int tries = 0; tries < k_most_steps; ++tries) {
    const double next = up ? std::min(rounded_up(end + step_, step_), most)
                           : std::max(rounded_down(end - step_, step_), most);
    if (next == end || !within(next)) return end;
    end = next;
  }
  return end;
}

/// The smallest amount within the risk of any span from `first` on, which is moved to that one.
std::optional<double> AmountSearch::least_from(std::size_t& first) {
  for (; first < spans_.size(); ++first) {
    const Span& span = spans_[first];
    if (const auto amount = nearest(span.low, span.high)) {
      // No farther than where it was found to be beyond the risk, or to the range before.
      return *amount > span.low ? *amount
                                : widened(*amount, first == 0 ? 0.0 : spans_[first - 1].high);
    }
    const bool has_least = !only_lowest_ && span.low <= least_at_ && least_at_ <= span.high;
    if (has_least && within(least_at_)) return least_at_;
  }
  return {};
}

std::optional<double> AmountSearch::least() {
  std::size_t span = 0;
  const auto amount = least_from(span);
  if (amount || !only_lowest_) return amount;
  search(Ends::all);
  span = 0;
  return least_from(span);
}

std::optional<AllowedAmounts> AmountSearch::allowed() {
  assert(!only_lowest_);
  std::size_t span = 0;
  const auto least = least_from(span);
  if (!least) return {};
  AllowedAmounts amounts{*least, {}, {}};
  const double end = spans_[span].high;
  // With one limit, which binds at the least amount, more is only farther from it.
  const scenario::Limits& limits = question_.scenario().limits;
  const bool falls = end == most_ && *least > 0.0 && !(limits.minimum && limits.maximum);
  double largest = falls ? most_ : nearest(end, *least).value_or(*least);
  if (largest == end) largest = widened(end, most_);
  if (largest < most_) amounts.largest = largest;
  if (end < most_) amounts.again_from = least_from(++span);
  return amounts;
}

std::optional<double> amount_by_arithmetic(const scenario::Scenario& scenario, std::uint64_t seed,
                                           double step_l) {
  estimate::Effort exact_cases;
  const Found found =
      searched(scenario::at_means(scenario), seed, step_l, {}, Ends::all, nullptr, exact_cases);
  if (found.spans.empty()) return {};
  return found.spans.front().low;
}

}  // namespace blendrisk::decide
