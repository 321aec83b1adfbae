#pragma once

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <vector>

#include "learn/line_model.hpp"
#include "learn/whitening.hpp"
#include "models/infinity.hpp"
#include "scenario/scenario.hpp"

/// Least squares of a log by the parts of a line.
namespace blendrisk::learn {

/// Which parts are fitted, from where; the others keep their volume.
struct Parts {
  std::array<bool, 3> fitted{};
  Volumes start{};
  bool drift = false;  ///< of the sensor, straight in time, is fitted too

  std::size_t count() const;
  std::size_t parameters() const { return 2 + (drift ? 1 : 0) + count(); }
};

/// Those that the scenario gives a volume or an uncertain one; where it gives none, reservoir and
/// pipe.
Parts parts_of(const scenario::Line& line);

/// Parameters are both levels (at time 0), the drift where it is fitted, then the fitted volumes in
/// their order.
struct ChainFit {
  Parts parts;
  double before = 0.0, after = 0.0;  ///< levels
  double drift = 0.0;                ///< per second
  Volumes volumes{};
  double squares = k_infinity;    ///< of the weighted residuals
  std::vector<double> shown;      ///< the fit: what the sensor would show at every bin
  std::vector<double> residuals;  ///< reading − fit, whitened
  Eigen::MatrixXd jacobian;       ///< of the fit, whitened
  Eigen::MatrixXd
      inverse;  ///< (JᵀJ)⁻¹; a direction of which the log says nothing is beyond all use

  /// The place of a fitted part among the parameters.
  Eigen::Index place(std::size_t part) const;
};

/// reading = before + (after − before) L + drift t, L the model's share, residuals whitened:
/// Levenberg and Marquardt's method (Eigen) in the logarithms of the volumes, the best of several
/// starts, or from where another fit of the same parts came out. @pre some part is fitted
ChainFit fit_chain(const LineModel& model, const Bins& bins, const Parts& parts,
                   const Whitening& whitening, const ChainFit* near = nullptr);

/// What a display that steps adds to the parameters' covariance beyond its share in the residuals.
/// Rounding f(t) + noise leaves the mean error Σ_k ± (step/πk) exp(−2π²k²σ²/step²) sin(2πk f/step)
/// (the sawtooth's Fourier series under normal noise), which readings close in time share; its
/// phase, which rests on the levels' last digits, is taken as equally likely anywhere.
/// @param step, noise_sd  of the display and of a reading; 0 for step 0
Eigen::MatrixXd display_covariance(const ChainFit& fit, const Whitening& whitening, double step,
                                   double noise_sd);

}  // namespace blendrisk::learn
