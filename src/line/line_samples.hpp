#pragma once

#include <vector>

#include "line/fuel_line.hpp"

/// Whole samples of cases followed through the line, every input drawn.
namespace blendrisk::line {

/// Cases followed through the line, in blocks of one scrambling each (or of independent cases).
/// One element a case.
struct ArrivalCases {
  std::size_t blocks = 0;
  std::vector<double> settled;  ///< content of the tank in the end
  std::vector<double> old;      ///< content of the line before the fill
  std::vector<double> bias;     ///< of the sensor
  std::vector<double> noise;    ///< a standard normal draw for one reading
  /// The injectors get fuel outside the limit from out_from on and before out_to, in litres burned.
  std::vector<double> out_from, out_to;
  std::vector<double> out_until_s;  ///< out_to as time; only where the scenario has rates
  /// The injectors get fuel outside the band that the old calibration bears from then on; infinite
  /// where they never do. Only where the scenario gives such a band, the times where it has rates.
  std::vector<double> left, left_s;
  /// What an exact sensor would show just before out_to; where that is infinite, the nearest to the
  /// limit that it ever shows.
  std::vector<double> seen;
  /// By look: what an exact sensor shows then, its lag in it.
  std::vector<std::vector<double>> shown;

  std::size_t size() const { return settled.size(); }
  /// Whether the case comes within the limit to stay.
  bool arrives(std::size_t i) const;
};

/// The limits of the calibration in use until the switch, the minimum first; empty: none given.
std::vector<estimate::Limit> limits_before(const scenario::Scenario& scenario);

/// @param round    names the points: another round has others
/// @param looks_l  burned volumes at which the sensor is looked at, for ArrivalCases::shown
ArrivalCases follow_cases(const Line& line, const estimate::Limit& limit, std::uint64_t cases,
                          const estimate::Options& options, std::uint64_t round,
                          const std::vector<double>& looks_l = {});

/// Sets ArrivalCases::shown of cases that were followed without looks.
/// @param options, round  as they were followed
void add_looks(const Line& line, const estimate::Options& options, std::uint64_t round,
               const std::vector<double>& looks_l, ArrivalCases& cases);

}  // namespace blendrisk::line
