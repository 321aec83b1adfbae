#pragma once

#include <optional>
#include <type_traits>
#include <utility>
#include <vector>

#include "estimate/parallel.hpp"
#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::tank {

/// The landings that between_fills tells, each a computation of its own.
class Legs {
 public:
  /// Both have to outlive this.
  Legs(const scenario::Scenario& scenario, const estimate::Options& options);

  std::size_t units() const { return there_.size(); }
  void compute(std::size_t unit);           ///< different ones at once on several threads
  std::vector<estimate::Leg> told() const;  ///< when all are computed

 private:
  const scenario::Scenario& scenario_;
  const estimate::Options& options_;
  std::size_t bands_ = 1;
  std::vector<estimate::ChanceResult> there_;
};

/// What the tank holds after each fill but the last, on which the car is driven to the next: each
/// as the scenario ends with that fill. Inputs of later fills, and what these showed, do not count.
/// Where the scenario says what the old calibration bears, with the chances against that.
/// @throws ImpossibleScenario
std::vector<estimate::Leg> between_fills(const scenario::Scenario& scenario,
                                         const estimate::Options& options);

/// What compute() tells, with its member `between`, at once on several threads. Of several
/// exceptions that of compute() is thrown on.
template <class Compute>
auto with_between_fills(const scenario::Scenario& scenario, const estimate::Options& options,
                        const Compute& compute) {
  Legs legs(scenario, options);
  std::optional<std::invoke_result_t<const Compute&>> result;
  estimate::in_parallel(1 + legs.units(), options.threads, [&] {
    return [&](std::size_t unit) {
      if (unit == 0) {
        result.emplace(compute());
      } else {
        legs.compute(unit - 1);
      }
    };
  });
  result->between = legs.told();
  return std::move(*result);
}

}  // namespace blendrisk::tank
