#pragma once

#include <span>
#include <vector>

#include "line/fuel_line.hpp"

/// Readings of the content sensor taken since the fill, and how likely they are in a case.
namespace blendrisk::line {

struct Reading {
  Moment moment;
  double value = 0.0;  ///< as shown, a fraction
  /// How far what is shown lies from content + bias: normal with this standard deviation, then
  /// rounded to the step; no step: not rounded.
  double sd = 0.0;
  double step = 0.0;
};

/// What readings of this sensor are taken to be. A display with neither noise nor step is taken to
/// round to 1 %; one with a step has a noise of at least a twentieth of it, for numbers' sake.
struct Display {
  double sd = 0.0;
  double step = 0.0;
  bool assumed = false;  ///< the scenario gives neither
};
Display display_of(const scenario::Sensor& sensor);

/// The most readings that are taken one by one.
inline constexpr std::size_t k_most_readings = 32;

/// At most k_most_readings of them: neighbours are averaged in groups of about the same number
/// where there are more. Means of m readings have the variance sd²/m + step²/12: noise averages
/// out, the rounding of a display that hardly moves does not.
std::vector<Reading> grouped(const std::vector<Reading>& readings);

/// ln P(the display shows this) of a case whose sensor sees `seen` = content + bias; ln of the
/// density up to a constant where there is no step. Finite for every finite argument.
double log_likelihood(const Reading& reading, double seen);

/// Adds it of every case; spans of one length.
void add_log_likelihood(const Reading& reading, std::span<const double> seen,
                        std::span<double> sum);

/// How far it is off, in standard deviations sqrt(sd² + step²/12).
double misfit(const Reading& reading, double seen);

}  // namespace blendrisk::line
