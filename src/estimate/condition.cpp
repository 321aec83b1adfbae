#include "estimate/condition.hpp"

namespace blendrisk::estimate {

using sampling::CaseInputs;

Condition condition_of(const CaseInputs& inputs) {
  Condition condition;
  condition.content = content_to_condition_on(inputs);
  condition.gauge =
      !condition.content && inputs.fills() == 1 && inputs[sampling::Slot::gauge_error].uncertain;
  return condition;
}

std::unique_ptr<Integrand> outside_limit(const CaseInputs& inputs, const Condition& condition,
                                         Side side, double limit) {
  if (condition.gauge) return std::make_unique<OutsideLimitByGauge>(inputs, side, limit);
  return std::make_unique<OutsideLimit>(Landing(inputs, condition.content), side, limit);
}

Problem outside_problem(const CaseInputs& inputs, const Condition& condition, Side side,
                        const Integrand& integrand, std::uint64_t seed) {
  Problem problem{{inputs, inputs.uncertain(condition.slot().value_or(inputs.size()))},
                  &integrand,
                  seed,
                  side == Side::below ? sampling::Purpose::below : sampling::Purpose::above};
  problem.risk = inputs.scenario().limits.accepted_risk;
  return problem;
}

}  // namespace blendrisk::estimate
