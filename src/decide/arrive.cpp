#include "decide/arrive.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "decide/variants.hpp"
#include "estimate/chance.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Line;
using estimate::Moment;
using estimate::Options;
using estimate::Target;

/// More than any tank: fuel that has to be burned beyond it is none to advise.
constexpr double k_far_l = 1000.0;

EnoughBurn enough_burn(const Line& line, const Target& target, const estimate::Arrival& arrival,
                       const Options& options, double step_l, std::uint64_t& evaluations) {
  const double risk = line.inputs().scenario().limits.accepted_risk;
  EnoughBurn enough;
  if (arrival.never.chance > risk) {
    enough.reason = "the tank itself lands outside the limit too often";
    return enough;
  }
  const double about = arrival.burn_l ? (*arrival.burn_l)[4] : 1.0;
  estimate::RailCurve curve(line, target, about, options);
  const auto excess = [&](double burn_l) { return curve.outside(burn_l) - risk; };
  double burn = 0.0;
  if (excess(0.0) > 0.0) {
    double low = 0.0;
    double high = std::max(about, step_l);
    while (excess(high) > 0.0 && high < k_far_l) {
      low = high;
      high *= 2.0;
    }
    if (excess(high) > 0.0) {
      enough.reason = "the last of the old fuel leaves too slowly to bring the chance that low";
      evaluations += curve.evaluations();
      return enough;
    }
    const auto close = [step_l](double a, double b) { return b - a < 0.02 * step_l; };
    std::uintmax_t steps = 50;
    burn = boost::math::tools::toms748_solve(excess, low, high, close, steps).second;
  }
  evaluations += curve.evaluations();
  // What was found to within a fiftieth of a step is not rounded up a whole one.
  enough.burn_l = std::ceil(burn / step_l - 0.02) * step_l;
  const Moment moment{Moment::By::burned, *enough.burn_l};
  const estimate::RailResult at =
      estimate::estimate_rail(line, target, moment, options, std::uint64_t{1} << 20U);
  enough.outside = at.estimate;
  evaluations += at.evaluations;
  if (line.has_rates()) {
    const estimate::LineCase typical = line.typical();
    enough.time_s = typical.time_once_passed(typical.passed(moment));
  }
  return enough;
}

}  // namespace

ArriveResult solve_arrive(const scenario::Scenario& scenario, const Options& options,
                          double step_l) {
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  estimate::require_fuel(inputs);
  const Line line(inputs);
  const Target target = estimate::target_of(line);
  constexpr std::uint64_t k_cases = 1U << 14U;
  constexpr std::uint64_t k_plain_cases = 200'000;
  constexpr std::uint64_t k_most_cases = 1'000'000;  // all of them are held in memory
  const bool plain = options.method == estimate::Method::plain;
  const std::uint64_t cases =
      plain ? std::min(options.cases.value_or(k_plain_cases), k_most_cases) : k_cases;
  const estimate::ArrivalCases followed =
      estimate::follow_cases(line, target.side, target.limit, cases, options, 0);
  ArriveResult result;
  result.arrival = estimate::estimate_arrival(line, target, followed, options, 100.0 * step_l);
  result.evaluations = result.arrival.evaluations;
  result.enough = enough_burn(line, target, result.arrival, options, step_l, result.evaluations);
  result.wait_for = solve_wait_for(line, target, followed, options);
  result.evaluations += followed.size();
  const scenario::Limits& limits = scenario.limits;
  if (limits.minimum && limits.maximum) {
    const bool below = target.side == estimate::Side::below;
    result.other_limit = below ? *limits.maximum : *limits.minimum;
    const Target beyond{below ? estimate::Side::above : estimate::Side::below, result.other_limit};
    const auto other = estimate::estimate_end(line, beyond, for_solving(options));
    result.beyond_other = other.estimate;
    result.evaluations += other.evaluations;
  }
  const auto& wait = result.wait_for;
  result.met = (wait.reading || result.enough.burn_l || wait.nothing_to_wait_for) &&
               !(result.beyond_other && result.beyond_other->chance > limits.accepted_risk);
  return result;
}

}  // namespace blendrisk::decide
