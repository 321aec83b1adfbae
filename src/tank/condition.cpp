#include "tank/condition.hpp"

namespace blendrisk::tank {

using sampling::CaseInputs;

Condition condition_of(const CaseInputs& inputs) {
  Condition condition;
  condition.content = content_to_condition_on(inputs);
  condition.gauge = !condition.content && inputs.fills() == 1 && !inputs.weighted() &&
                    inputs[sampling::Slot::gauge_error].uncertain;
  return condition;
}

std::unique_ptr<estimate::Integrand> outside_limit(const CaseInputs& inputs,
                                                   const Condition& condition,
                                                   const estimate::Limit& limit) {
  if (condition.gauge) return std::make_unique<OutsideLimitByGauge>(inputs, limit);
  return std::make_unique<OutsideLimit>(LinearBlend(inputs, condition.content), limit);
}

estimate::Problem outside_problem(const CaseInputs& inputs, const Condition& condition,
                                  const estimate::Limit& limit,
                                  const estimate::Integrand& integrand, std::uint64_t seed) {
  estimate::Problem problem{{inputs, inputs.uncertain(condition.slot().value_or(inputs.size()))},
                            &integrand,
                            seed,
                            limit.below() ? sampling::Purpose::below : sampling::Purpose::above};
  problem.risk = inputs.scenario().limits.accepted_risk;
  return problem;
}

estimate::Methods methods_on_points(const sampling::CaseInputs& inputs,
                                    const std::optional<std::size_t>& conditioned) {
  estimate::Methods methods;
  if (inputs.uncertain(conditioned.value_or(inputs.size())).empty()) {
    methods.exact = true;
  } else if (conditioned) {
    methods.conditional = true;
  } else {
    methods.points = true;
  }
  return methods;
}

estimate::Methods methods_of_outside(const sampling::CaseInputs& inputs,
                                     const estimate::Options& options) {
  estimate::Methods methods;
  methods.crude = options.method == estimate::Method::crude;
  if (methods.crude) return methods;
  methods = methods_on_points(inputs, condition_of(inputs).slot());
  // Points with nothing to condition on would show no small chance: cases are counted instead.
  if (methods.points && inputs.weighted()) return methods;
  methods.crude = methods.points;
  methods.points = false;
  return methods;
}

}  // namespace blendrisk::tank
