#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

/// Chances of a miss against the misses that came: chances[i] in [0, 1], came[i] 0 or 1.
namespace blendrisk::estimate {

/// score = miscalibration - discrimination + uncertainty.
struct BrierParts {
  double score = 0.0;           ///< mean square of chance - outcome; 0 is best
  double miscalibration = 0.0;  ///< what recalibrating would take off; 0 is best
  double discrimination = 0.0;  ///< what telling cases apart takes off
  double uncertainty = 0.0;     ///< of saying the same share each time
};

/// The chances made as good as a rising function of them can: isotonic regression, equal chances
/// to equal ones (T. Dimitriadis, T. Gneiting and A. Jordan, PNAS 118, 2021; from memory).
std::vector<double> recalibrated(std::span<const double> chances, std::span<const double> came);

/// The score in its parts by that. @pre at least one row
BrierParts brier_parts(std::span<const double> chances, std::span<const double> came);

/// Where recalibrated chances lie in 95 % of cases if the chances are right, one a row: of so many
/// outcomes drawn by the chances themselves.
struct ReliabilityBand {
  std::vector<double> low, high;
};
ReliabilityBand reliability_band(std::span<const double> chances, std::uint64_t seed,
                                 std::size_t draws = 1000);

/// How many misses the chances expect, and the range that holds their number in 95 % at least, no
/// more than 2.5 % on either side of it: the number of independent events of unequal chances
/// (Poisson's binomial law), summed up.
struct ExpectedMisses {
  double mean = 0.0;
  std::array<std::uint64_t, 2> range{};
};
ExpectedMisses expected_misses(std::span<const double> chances);

}  // namespace blendrisk::estimate
