#include "decide/arrive.hpp"

#include <algorithm>

#include "decide/variants.hpp"
#include "tank/chance.hpp"

namespace blendrisk::decide {

using estimate::Limit;
using estimate::Options;
using line::Line;

ArriveResult solve_arrive(const scenario::Scenario& scenario, const Options& options,
                          double step_l) {
  line::require_volume(scenario.line);
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  tank::require_fuel(inputs);
  const Line line(inputs);
  const Limit target = line::target_of(line);
  constexpr std::uint64_t k_cases = 1U << 14U;
  constexpr std::uint64_t k_crude_cases = 200'000;
  const bool crude = options.method == estimate::Method::crude;
  const std::uint64_t cases =
      crude ? std::min(options.cases.value_or(k_crude_cases), k_most_followed) : k_cases;
  const line::ArrivalCases followed = line::follow_cases(line, target, cases, options, 0);
  ArriveResult result;
  result.arrival = line::estimate_arrival(line, target, followed, options, 100.0 * step_l);
  result.gap = line::estimate_gap(line, followed);
  result.enough = solve_enough_burn(line, target, result.arrival, options, step_l);
  result.wait_for = solve_wait_for(line, target, followed, options);
  if (result.wait_for.nothing_to_wait_for()) {
    result.waiting.why_none = NoReading::within_already;
  } else {
    result.waiting =
        solve_waiting_table(line, target, result.arrival, followed, options, 100.0 * step_l);
  }
  result.effort = result.arrival.effort;
  result.effort.evaluations += result.enough.effort.evaluations + followed.size();
  const scenario::Limits& limits = scenario.limits;
  for (const Limit& limit : estimate::limits_of(limits)) {
    if (limit.side == target.side) continue;
    const auto other = line::estimate_end(line, limit, for_solving(options));
    result.other_limit = limit.value;
    result.beyond_other = other.estimate;
    result.effort.evaluations += other.effort.evaluations;
  }
  const auto& wait = result.wait_for;
  result.met = (wait.reading || !result.waiting.rows.empty() || result.enough.burn_l ||
                wait.nothing_to_wait_for()) &&
               !(result.beyond_other && result.beyond_other->chance > limits.accepted_risk);
  return result;
}

}  // namespace blendrisk::decide
