#pragma once

#include <array>
#include <optional>
#include <string>

#include "decide/feasible_set.hpp"
#include "tank/chance.hpp"

namespace blendrisk::decide {

/// Why there is no window.
enum class NoWindow {
  dry,     ///< no reading up to the capacity is within the dry risk
  apart,   ///< the highest within the accepted risk is below the lowest within the dry risk
  outside  ///< no reading is within the accepted risk
};

/// How far to drive before the fill, of a plan that starts away from the pump.
struct Drive {
  /// Until the gauge shows the highest reading, at the median economy [km]; 0 where it shows less.
  std::optional<double> median_km;
  /// The farthest whole kilometre at which running dry on the way is within the dry risk, of an
  /// empty tank where the scenario gives no pickup floor; none where it is not even here.
  std::optional<double> farthest_km;
};

/// The answer of `heel`. Readings of the gauge [L], rounded to what it can show.
struct HeelResult {
  estimate::Effort effort;                    ///< of the search and what it is confirmed by
  std::optional<double> highest_indicated_l;  ///< within the accepted risk
  std::optional<double> lowest_indicated_l;   ///< within the dry risk
  /// The lowest within the accepted risk, where less would miss another way (a maximum).
  std::optional<double> lowest_for_limits_l;
  std::optional<std::array<double, 2>> window;
  std::optional<double> nominal_highest_l;           ///< every input at its mean
  std::optional<estimate::ChanceResult> at_highest;  ///< freshly estimated
  std::optional<NoWindow> why_none;
  /// No window: what each risk would have to be for one.
  std::optional<double> risk_at_lowest, dry_risk_at_highest;
  /// There would be a window with every input at its mean: knowing them better may give one.
  bool window_at_means = false;
  /// Two fills to click-off where one will not do: from the lowest reading, then run down to this.
  std::optional<double> second_highest_l;
  std::optional<Drive> drive;  ///< where the way to the pump is still to be driven
};

/// Solves for the first reading: filling to click-off, or as written where there are several fills.
/// @param step_l  of the gauge's display, > 0
/// @throws estimate::ImpossibleScenario
HeelResult solve_heel(const scenario::Scenario& scenario, const estimate::Options& options,
                      double step_l);

/// Readings within the accepted risk, as the gauge shows them: the span that reaches highest.
struct ReadingRange {
  double lowest, highest;
};
estimate::Found<std::optional<ReadingRange>> readings_within_risk(
    const scenario::Scenario& scenario, const estimate::Options& options, double step_l,
    const SearchSize& size = {});

/// The highest reading within the accepted risk alone, none where no reading is.
/// @param nearby  fits of scenarios that differ in an input that is known, if there are any
/// @throws estimate::ImpossibleScenario
estimate::Found<std::optional<double>> highest_reading(const scenario::Scenario& scenario,
                                                       const estimate::Options& options,
                                                       double step_l,
                                                       estimate::SidesNearby* nearby = nullptr);

/// The chance of running dry before any of the fills, from a first reading.
double dry_chance(scenario::Scenario scenario, const estimate::Options& options,
                  double indicated_l);

/// The lowest reading within the dry risk of all fills, none where no reading up to the capacity
/// is.
std::optional<double> lowest_reading(const scenario::Scenario& scenario,
                                     const estimate::Options& options, double step_l);

/// The highest second reading of two fills to click-off within the accepted risk, the first from
/// the scenario's own reading.
estimate::Found<std::optional<double>> highest_second_reading(const scenario::Scenario& scenario,
                                                              const estimate::Options& options,
                                                              double step_l);

}  // namespace blendrisk::decide
