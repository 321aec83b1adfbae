#include "distributions/families.hpp"

#include <array>

#include "distributions/form.hpp"

namespace blendrisk::distributions {

std::span<const Form* const> forms() {
  static constexpr std::array all{
      &exact_form, &normal_form,  &uniform_form, &triangular_form, &trapezoidal_form, &arcsine_form,
      &beta_form,  &student_form, &tests_form,   &quantiles_form,  &measured_form};
  return all;
}

}  // namespace blendrisk::distributions
