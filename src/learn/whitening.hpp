#pragma once

#include <Eigen/Core>
#include <vector>

/// Readings whose places err together, made independent.
namespace blendrisk::learn {

/// reading_i = fit_i + slope_i e_i + noise_i, where e (how far the burned volume is off) is a
/// random walk from 0 and the noise's variance is that of one reading over the bin's weight. The
/// Kalman filter's innovations of a series, over their standard deviations and times the noise's,
/// are what generalised least squares takes as independent (R. E. Kalman, Journal of Basic
/// Engineering 82 (1960), 35, from memory). Linear: the same for residuals and for the columns of a
/// Jacobian.
class Whitening {
 public:
  /// Independent readings: each is taken times the square root of its weight.
  explicit Whitening(const std::vector<double>& weights);
  /// @param slopes  of the reading over the burned volume [1/L]   @param walk  variance that e
  /// takes on from the bin before [L²]   @param noise_sd  of one reading, above 0
  Whitening(const std::vector<double>& weights, const std::vector<double>& slopes,
            const std::vector<double>& walk, double noise_sd);

  Eigen::VectorXd operator()(const Eigen::VectorXd& series) const;

 private:
  Eigen::ArrayXd scale_;          ///< of an innovation
  Eigen::ArrayXd gain_, slopes_;  ///< empty: independent
};

}  // namespace blendrisk::learn
