#pragma once

#include <span>
#include <vector>

#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

/// How often a year of changes misses, when some inputs err alike at all changes of a car.
namespace blendrisk::decide {

/// What one car does at one pump in a year.
struct Visits {
  scenario::Scenario scenario;  ///< to plan, with the amount that is filled
  double changes = 0.0;         ///< > 0
  estimate::Estimate chance;    ///< of a miss at one of them, as it is told
  double own_chance = 0.0;      ///< the same without what measured values bear beside it
};

/// A mean and its standard error.
struct YearFigure {
  double value = 0.0, standard_error = 0.0;
};

/// A year, of one car or of a shop. With θ the persistent inputs of a car (scenario::Policy) and
/// p(θ) the chance of a miss at one change given them:
struct Year {
  YearFigure any;  ///< chance of at least one miss: 1 − Π over cars of E[Π (1 − p(θ))^N]
  YearFigure independent;  ///< as if nothing were persistent: 1 − Π (1 − E p)^N
  YearFigure once;    ///< as if all of a car were, one change a pump: 1 − Π E[Π (1 − p(θ))]
  YearFigure misses;  ///< expected number: Σ N E p
  std::uint64_t evaluations = 0;
};

/// The year of one car. θ from scrambled Sobol' points under importance sampling towards a miss; in
/// each of 16 replicates θ and the rest have scramblings of their own, so that the standard error
/// is that of both. A power of a mean over points is biased by the error of that mean; its first
/// order is taken off by the two halves of the points (jackknife; M. H. Quenouille, Biometrika 43,
/// 1956; from memory). What replicates err in the expected number, which is known better, is taken
/// off by regression (control variate).
/// @param visits  of scenarios in which the persistent inputs have the same laws; one at least
/// @throws estimate::ImpossibleScenario
Year year_of_car(std::span<const Visits> visits, const estimate::Options& options);

/// The year of independent cars: of none, nothing misses.
Year year_of_shop(std::span<const Year> cars);

}  // namespace blendrisk::decide
