#include "tank/landed_sensitivity.hpp"

#include <algorithm>
#include <limits>

#include "estimate/randomised_qmc.hpp"
#include "tank/linear_blend.hpp"

namespace blendrisk::tank {

LandedSensitivity landed_sensitivity(const sampling::CaseInputs& inputs, std::uint64_t seed) {
  constexpr unsigned k_log2_points = 9;
  LandedSensitivity result;
  result.slots = inputs.uncertain(inputs.size());
  const std::size_t count = result.slots.size();
  const LinearBlend landing(inputs, {});
  estimate::Workspace space(inputs);
  const auto content_by = [&](const sampling::JointSampler& sampler) -> estimate::BatchFunction {
    return [&](const std::vector<std::span<const double>>& u, std::span<double> f) {
      const std::size_t n = f.size();
      const auto uniforms = [&u](std::size_t d, std::span<double> to) {
        std::copy(u[d].begin(), u[d].end(), to.begin());
      };
      sampler.draw_all(std::span(space.u).first(n), uniforms, space.batch);
      landing.evaluate(space.batch, n, space.columns);
      std::copy_n(space.columns.a(), n, f.begin());
      result.evaluations += n;
    };
  };
  const sampling::JointSampler natural = sampling::sampler_of_all(inputs);
  std::vector<std::size_t> uncorrelated;
  for (std::size_t d = 0; d < count; ++d) {
    if (!natural.correlated(d)) uncorrelated.push_back(d);
  }
  result.indices.resize(count);
  const auto alone =
      estimate::sobol_indices(count, uncorrelated, content_by(natural), k_log2_points, seed);
  for (std::size_t i = 0; i < alone.size(); ++i) result.indices[uncorrelated[i]] = alone[i];
  // Drawn first, an input's own coordinate is all of it; drawn last, what the others leave open.
  for (std::size_t d = 0; d < count; ++d) {
    if (!natural.correlated(d)) continue;
    std::vector<std::size_t> order = inputs.uncertain(result.slots[d]);
    order.push_back(result.slots[d]);
    const sampling::JointSampler last(inputs, order);
    std::rotate(order.begin(), order.end() - 1, order.end());
    const sampling::JointSampler first(inputs, order);
    result.indices[d] = {
        estimate::sobol_indices(count, {0}, content_by(first), k_log2_points, seed)[0].first_order,
        estimate::sobol_indices(count, {count - 1}, content_by(last), k_log2_points, seed)[0]
            .total};
  }
  return result;
}

LandedSensitivity without_indices(const sampling::CaseInputs& inputs) {
  LandedSensitivity result;
  result.slots = inputs.with_told(inputs.uncertain(inputs.size()));
  std::sort(result.slots.begin(), result.slots.end());
  constexpr double k_unknown = std::numeric_limits<double>::quiet_NaN();
  const estimate::Index unknown{k_unknown, k_unknown, {k_unknown, k_unknown}};
  result.indices.assign(result.slots.size(), {unknown, unknown});
  return result;
}

}  // namespace blendrisk::tank
