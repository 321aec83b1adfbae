#pragma once

#include <span>
#include <vector>

#include "models/spare_memory.hpp"

/// Mixtures of normal laws of the inputs' scores. In its normal score every law is bell-shaped, so
/// that a heavy tail is another place where misses lie, and not another method.
namespace blendrisk::sampling {

/// One part of a mixture: independent normal scores, in the order of a sampler.
struct Component {
  std::vector<double> mean, sd;
};

/// The inputs' own law.
Component own_component(std::size_t inputs);

/// Points of several inputs: row d has the score of input d at each point.
class Scores {
 public:
  Scores(std::size_t inputs, std::size_t points) : points_(points), values_(inputs * points) {}
  std::size_t points() const { return points_; }
  std::span<double> row(std::size_t d) { return {values_.data() + d * points_, points_}; }
  std::span<const double> row(std::size_t d) const {
    return {values_.data() + d * points_, points_};
  }

 private:
  std::size_t points_;
  std::vector<double, models::SpareAllocator<double>> values_;
};

/// Scores of a component from uniforms, in place: z = mean + sd Φ⁻¹(u).
void take_scores(const Component& component, std::size_t d, std::span<double> u);

/// ratio[i] = density of the component / standard normal density, at most e³⁴⁰, at the first
/// ratio.size() points.
void ratio_of(const Component& component, const Scores& scores, std::span<double> ratio);

/// ratio[i] += share · density of the component / standard normal density, at the first
/// ratio.size() points. @param scratch  as long as ratio
void add_ratio(const Component& component, double share, const Scores& scores,
               std::span<double> scratch, std::span<double> ratio);

/// ln of the same, without a share, into log_ratio.
void log_ratio_of(const Component& component, const Scores& scores, std::span<double> log_ratio);

}  // namespace blendrisk::sampling
