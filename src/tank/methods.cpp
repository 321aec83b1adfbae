#include "tank/methods.hpp"

#include "tank/condition.hpp"

namespace blendrisk::tank {

Methods methods_on_points(const sampling::CaseInputs& inputs,
                          const std::optional<std::size_t>& conditioned) {
  Methods methods;
  if (inputs.uncertain(conditioned.value_or(inputs.size())).empty()) {
    methods.exact = true;
  } else if (conditioned) {
    methods.conditional = true;
  } else {
    methods.points = true;
  }
  return methods;
}

Methods methods_of_outside(const sampling::CaseInputs& inputs, const estimate::Options& options) {
  Methods methods;
  methods.crude = options.method == estimate::Method::crude;
  if (methods.crude) return methods;
  methods = methods_on_points(inputs, condition_of(inputs).slot());
  // Points with nothing to condition on would show no small chance: cases are counted instead.
  methods.crude = methods.points;
  methods.points = false;
  return methods;
}

}  // namespace blendrisk::tank
