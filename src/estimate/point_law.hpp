#pragma once

#include <vector>

#include "estimate/weights.hpp"

namespace blendrisk::estimate {

/// The law of weighted points, as a forecast of what is to come.
class PointLaw {
 public:
  /// @param points  with weights that are not all 0
  explicit PointLaw(std::vector<Weighted> points);

  double mean() const { return moments_.mean; }
  double standard_deviation() const { return moments_.standard_deviation; }
  double below(double x) const;         ///< P(X < x)
  double at_most(double x) const;       ///< P(X <= x)
  double quantile(double order) const;  ///< see quantile_of
  /// So much of the weight lies at one point on average: shares are known no finer.
  double grain() const { return grain_; }

  /// Continuous ranked probability score of the value that came: the integral of the squared
  /// difference of distribution functions, in the values' unit; 0 is best (J. E. Matheson and R. L.
  /// Winkler, Management Science 22, 1976; from memory). Of an exact forecast the absolute error.
  double crps(double came) const;

 private:
  std::vector<Weighted> points_;  ///< sorted; the weights summed up to 1
  Moments moments_{};
  double grain_ = 0.0;
};

}  // namespace blendrisk::estimate
