#pragma once

#include <cmath>
#include <vector>

#include "estimate/interval.hpp"
#include "estimate/limit.hpp"
#include "numeric/vector_math.hpp"
#include "scenario/scenario.hpp"

/// What all searches for a reading to switch by share.
namespace blendrisk::decide {

/// Readings of a sensor without a step are told in such steps.
inline constexpr double k_without_step = 0.001;
/// A reading that fewer cases ever show is none to wait for.
inline constexpr double k_too_few = 0.01;

inline double step_of(const scenario::Sensor& sensor) {
  return sensor.step > 0.0 ? sensor.step : k_without_step;
}

/// Chances of switching and of switching too early, block by block.
struct Shares {
  std::vector<double> early, ever;

  static double all(const std::vector<double>& blocks) {
    return numeric::sum(blocks) / static_cast<double>(blocks.size());
  }
  double ever_share() const { return all(ever); }
  double ratio() const {
    const double triggers = ever_share();
    return triggers > 0.0 ? all(early) / triggers : 0.0;
  }

  /// The ratio with the error of its linearisation over the blocks.
  estimate::Estimate estimate() const {
    const double triggers = ever_share();
    std::vector<double> values(ever.size());
    for (std::size_t b = 0; b < ever.size(); ++b) {
      values[b] = ratio() + (early[b] - ratio() * ever[b]) / triggers;
    }
    return estimate::student_estimate(estimate::mean_of(values));
  }
};

/// Steps of the display beyond the limit, outward: reading(k) = limit ± k steps on the grid.
class Readings {
 public:
  explicit Readings(const estimate::Limit& target, double step)
      : sign_(target.sign()),
        step_(step),
        // The first multiple of the step that is not inside the limit's wrong side.
        first_(sign_ > 0.0 ? std::ceil(target.value / step - 1e-9)
                           : std::floor(target.value / step + 1e-9)) {}
  double at(int k) const { return (first_ + sign_ * k) * step_; }
  bool possible(int k) const { return at(k) >= -1e-12 && at(k) <= 1.0 + 1e-12; }

 private:
  double sign_, step_, first_;
};

}  // namespace blendrisk::decide
