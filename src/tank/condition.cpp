#include "tank/condition.hpp"

namespace blendrisk::tank {

using sampling::CaseInputs;

Condition condition_of(const CaseInputs& inputs) {
  Condition condition;
  condition.content = content_to_condition_on(inputs);
  condition.gauge =
      !condition.content && inputs.fills() == 1 && inputs[sampling::Slot::gauge_error].uncertain;
  return condition;
}

std::unique_ptr<estimate::Integrand> outside_limit(const CaseInputs& inputs,
                                                   const Condition& condition, estimate::Side side,
                                                   double limit) {
  if (condition.gauge) return std::make_unique<OutsideLimitByGauge>(inputs, side, limit);
  return std::make_unique<OutsideLimit>(LinearBlend(inputs, condition.content), side, limit);
}

estimate::Problem outside_problem(const CaseInputs& inputs, const Condition& condition,
                                  estimate::Side side, const estimate::Integrand& integrand,
                                  std::uint64_t seed) {
  estimate::Problem problem{
      {inputs, inputs.uncertain(condition.slot().value_or(inputs.size()))},
      &integrand,
      seed,
      side == estimate::Side::below ? sampling::Purpose::below : sampling::Purpose::above};
  problem.risk = inputs.scenario().limits.accepted_risk;
  return problem;
}

}  // namespace blendrisk::tank
