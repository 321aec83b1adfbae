#pragma once

#include <vector>

#include "line/fuel_line.hpp"

/// What a reading is off by: bias and noise as one law.
namespace blendrisk::line {

/// A law in masses at whole multiples of a step.
struct ErrorMasses {
  double step = 0.0;
  int first = 0;             ///< mass[j] lies at (first + j) × step
  std::vector<double> mass;  ///< adds up to 1
};

/// Whether the sensor's bias depends on nothing else of the case, so that it can be integrated over
/// like the noise: no reading of the old fuel shares it, and nothing is correlated with it.
bool bias_stands_alone(const Line& line);

/// The noise of one reading, and the bias with it where it stands alone; what lies beyond 1e-9 of
/// either end is left out.
/// @param sign  1, or −1 for the error turned round
ErrorMasses error_masses(const Line& line, double sign, double step);

}  // namespace blendrisk::line
