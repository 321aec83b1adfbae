#pragma once

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <vector>

#include "learn/line_model.hpp"
#include "models/infinity.hpp"
#include "scenario/scenario.hpp"

/// Least squares of a log by the parts of a line.
namespace blendrisk::learn {

/// Which parts are fitted, from where; the others keep their volume.
struct Parts {
  std::array<bool, 3> fitted{};
  Volumes start{};

  std::size_t count() const;
};

/// Those that the scenario gives a volume or an uncertain one; where it gives none, reservoir and
/// pipe.
Parts parts_of(const scenario::Line& line);

/// Parameters are both levels, then the fitted volumes in their order.
struct ChainFit {
  Parts parts;
  double before = 0.0, after = 0.0;  ///< levels
  Volumes volumes{};
  double squares = k_infinity;    ///< of the weighted residuals
  std::vector<double> residuals;  ///< reading − fit, times √weight
  Eigen::MatrixXd jacobian;       ///< of the fit, times √weight
  Eigen::MatrixXd
      inverse;  ///< (JᵀJ)⁻¹; a direction of which the log says nothing is beyond all use

  /// The place of a fitted part among the parameters.
  Eigen::Index place(std::size_t part) const;
};

/// reading = before + (after − before) L, L the model's share, weighted by the rows of each bin:
/// Levenberg and Marquardt's method (Eigen) in the logarithms of the volumes, the best of several
/// starts. @pre some part is fitted
ChainFit fit_chain(const LineModel& model, const Bins& bins, const Parts& parts);

/// What a display that steps adds to the parameters' covariance beyond its share in the residuals.
/// Rounding f(t) + noise leaves the mean error Σ_k ± (step/πk) exp(−2π²k²σ²/step²) sin(2πk f/step)
/// (the sawtooth's Fourier series under normal noise), which readings close in time share; its
/// phase, which rests on the levels' last digits, is taken as equally likely anywhere.
/// @param step, noise_sd  of the display and of a reading; 0 for step 0
Eigen::MatrixXd display_covariance(const ChainFit& fit, const Bins& bins, double step,
                                   double noise_sd);

}  // namespace blendrisk::learn
