#pragma once

#include "estimate/common_points.hpp"
#include "line/line_samples.hpp"

/// When the fuel at the injectors comes within a limit.
namespace blendrisk::line {

/// The limit that the line's old fuel is outside of: the minimum where it lies below, the maximum
/// where it lies above; the nearer one where it lies within both.
estimate::Limit target_of(const Line& line);

/// Where the injectors' fuel stands after a moment.
struct RailPoint {
  double burn_l = 0.0;
  std::optional<double> time_s;  ///< at the median rates
  estimate::Estimate outside;
};

struct Arrival {
  estimate::Limit target;
  estimate::Estimate never;  ///< the tank itself ends outside the limit
  bool has_time = false;
  /// Over the cases that arrive, at k_quantile_orders; none where hardly any does.
  std::optional<std::array<double, 5>> burn_l, time_s;
  double arriving = 0.0;  ///< share of cases that these rest on
  std::vector<RailPoint> rail;
  estimate::Effort effort;
  std::string conditioned_on;  ///< key, empty where on none
  std::vector<estimate::Clamped> held;
};

/// The chance of the rail being outside after every burned volume of a round grid that covers most
/// arrivals, that of never arriving, and the quantiles over the cases that arrive.
/// @param unit_l  what the grid is round in [L]
/// @throws ImpossibleScenario
Arrival estimate_arrival(const Line& line, const estimate::Limit& target, const ArrivalCases& cases,
                         const estimate::Options& options, double unit_l = 1.0);

/// The chance of the rail being outside at one moment; infinite: in the end.
estimate::Result estimate_rail(const Line& line, const estimate::Limit& target, Moment moment,
                               const estimate::Options& options, std::uint64_t budget);

/// The chance that the tank itself ends outside: that of `chance`, where no fuel comes back to it.
estimate::Result estimate_end(const Line& line, const estimate::Limit& target,
                              const estimate::Options& options);

/// The rail's chance as a function of the burned volume on common points, smooth and deterministic,
/// to be solved.
class RailCurve {
 public:
  /// @param about_l  the tilt is fitted at this burned volume
  RailCurve(const Line& line, const estimate::Limit& target, double about_l,
            const estimate::Options& options);
  estimate::MeanOfReplicates outside(double burn_l);
  /// From now on 2^log2_points in each of 16 replicates; at first 2^8.
  void resize(unsigned log2_points) { size_.log2_points = log2_points; }
  std::uint64_t evaluations() const { return points_.evaluations(); }

 private:
  std::optional<std::size_t> content_;
  RailOutside integrand_;
  estimate::Workspace workspace_;
  estimate::CommonPoints points_;
  estimate::Size size_{16, 8};
  unsigned threads_;
};

}  // namespace blendrisk::line
