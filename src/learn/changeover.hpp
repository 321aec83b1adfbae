#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "learn/changeover_log.hpp"
#include "scenario/scenario.hpp"

/// The volumes of a line from a logged changeover.
namespace blendrisk::learn {

/// One number that was fitted, in litres, fractions or litres per second.
struct Fitted {
  std::string key;  ///< "line.filter"; empty for the levels
  double value = 0.0;
  double standard_error = 0.0;
  std::array<double, 2> interval_95{};  ///< Student's t
  bool determined = true;
  std::string reason;  ///< why it is not
};

struct ChangeoverFit {
  std::vector<Fitted> volumes;
  std::optional<Fitted> stirred_sum;  ///< where only the sum of two stirred volumes is known
  std::optional<Fitted> idle;         ///< from a logged rate
  Fitted before, after;               ///< levels that the sensor shows, its bias included
  std::size_t rows = 0, bins = 0;
  double dof = 0.0;
  double residual_sd = 0.0;  ///< of one reading
  double expected_sd = 0.0;  ///< the scenario's noise and rounding; 0: it gives neither
  double last_share = 0.0;   ///< how far the change has come at the end of the log
  bool rate_logged = false;
  std::vector<std::string> notes;
};

/// Least squares of reading = before + (after − before) L(q(t)), L the residence law of reservoir,
/// pipe and filter up to the sensor with the sensor's lag, by Levenberg and Marquardt's method
/// (Eigen), in the logarithms of the volumes. Standard errors from s² (JᵀJ)⁻¹ in the volumes
/// themselves, s² the residual variance. Fitted are those parts of the line that the scenario gives
/// a volume; where it gives none, reservoir and pipe. More than 2000 rows are averaged in as many
/// bins, weighted by their number.
///
/// Without a logged rate only volume ÷ rate is known, and the rates are the scenario's: their
/// relative spread is added to the volumes' errors in quadrature.
///
/// @throws scenario::InputError where the log cannot tell anything: fewer rows than it takes, a
/// reading that does not move, no rate anywhere
ChangeoverFit fit_changeover(const ChangeoverLog& log, const scenario::Scenario& scenario);

}  // namespace blendrisk::learn
