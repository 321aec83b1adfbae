#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "decide/cells.hpp"
#include "decide/year.hpp"

/// One accepted risk for all changes of a shop, and what it costs in a year.
namespace blendrisk::decide {

/// One car at one pump.
struct PolicyPlace {
  std::size_t car = 0, pump = 0;  ///< from 0
  scenario::Scenario scenario;    ///< to plan
  double changes = 0.0;           ///< in a year, > 0
};

/// What such a place fills within one accepted risk.
struct PlaceAmount {
  std::optional<double> amount_l;  ///< none where no amount is within the risk
  std::optional<double> margin_l;  ///< over the amount by arithmetic, where there is one
  estimate::Estimate chance;       ///< of a miss at that amount
};

/// A year under one accepted risk. Changes that no amount serves are left out of all of it, and
/// counted apart.
struct PolicyYear {
  double risk = 0.0;
  std::vector<PlaceAmount> places;   ///< one a place
  double extra_l = 0.0;              ///< Σ changes × margin
  std::optional<double> extra_cost;  ///< at the fuels' prices, where all of them are given
  Year year;
  std::vector<Year> cars;  ///< one a car, nothing where it has no change
  double changes = 0.0;    ///< that are served
  double unserved_changes = 0.0;
  std::size_t unserved_places = 0;
};

/// The accepted risk at which extra fuel and misses together cost least.
struct LeastCost {
  double cost_of_miss = 0.0;
  double risk = 0.0;
  double low = 0.0, high = 0.0;  ///< risks between which the total is within k_flat of the least
  bool at_end = false;           ///< the least lies at an end of the risks that were tried
};

/// The flatness of a least cost, and how often it is asked.
inline constexpr double k_flat = 0.05;

/// Costs in a year, over the same changes at every risk: those of the places that have an amount at
/// the loosest. Where such a place has none at a stricter risk, its costs go on with those of the
/// strictest at which it has one.
struct PolicyCosts {
  std::vector<double> risks, fuel, misses;  ///< money for extra fuel; expected number of misses
  double changes = 0.0;                     ///< of these places
  LeastCost least, half, twice;             ///< at the cost of a miss, half of it, twice it
  double fuel_at_least = 0.0, misses_at_least = 0.0;
};

/// Why one of the wished risks is not told.
enum class NoPolicy {
  none,
  strictest_misses_more,  ///< even the strictest risk that was tried misses more often in a year
  nothing_served          ///< no place has an amount at any risk
};

struct PolicyRequest {
  double step_l = 0.01;                ///< of the dispenser's display, > 0
  std::optional<double> year_risk;     ///< of any miss in a year
  std::optional<double> cost_of_miss;  ///< needs the price of every fuel
};

struct PolicyResult {
  std::vector<PolicyYear> years;  ///< at the risks of the grid, the loosest first
  /// Extra fuel in a year at these [L] over the same changes at every risk, see PolicyCosts.
  std::vector<double> same_changes_l;
  /// The loosest accepted risk of two digits within the year's risk.
  std::optional<PolicyYear> within;
  NoPolicy why_not_within = NoPolicy::none;
  std::optional<PolicyCosts> costs;
  NoPolicy why_no_costs = NoPolicy::none;
  std::optional<PolicyYear> cheapest;  ///< at the least cost
  std::uint64_t evaluations = 0;
};

/// That a place's cases cannot be evaluated.
struct ImpossiblePlace : estimate::ImpossibleScenario {
  ImpossiblePlace(const estimate::ImpossibleScenario& error, std::size_t which)
      : estimate::ImpossibleScenario(error), place(which) {}
  std::size_t place;
};

/// The accepted risks of the grid: 10 % to 0.01 % in steps of 1, 2 and 5, the loosest first.
std::span<const double> policy_risks();

/// Amounts, years and costs at these. Same seed, same result, on any number of threads; none where
/// progress said to give up.
/// @param cars  how many there are; places are in the order of their cars
/// @throws ImpossiblePlace
std::optional<PolicyResult> solve_policy(std::span<const PolicyPlace> places, std::size_t cars,
                                         const PolicyRequest& request,
                                         const estimate::Options& options,
                                         const CellProgress& progress);

}  // namespace blendrisk::decide
