#pragma once

#include "estimate/result.hpp"
#include "sampling/case_inputs.hpp"
#include "scenario/known.hpp"
#include "scenario/scenario.hpp"

/// Scenarios that differ from a given one in what a decision is about.
namespace blendrisk::decide {

/// That no fill of a scenario to plan is done, and that no second look at the gauge gives its cases
/// weights.
/// @throws ImpossibleScenario where one is, or one does
void require_to_plan(const scenario::Scenario& scenario);

/// The last fill shows `amount_l` (infinite: to click-off), the first reading is `indicated_l`.
void put_amount(scenario::Scenario& scenario, double amount_l);
void put_indicated(scenario::Scenario& scenario, double indicated_l);

/// The first fill alone, to click-off.
scenario::Scenario one_fill_to_click_off(scenario::Scenario scenario);

/// That, run down to a reading of `second_indicated_l`, and filled to click-off again with the same
/// fuel.
scenario::Scenario two_fills_to_click_off(const scenario::Scenario& scenario,
                                          double second_indicated_l);

/// The most that a last, metered fill can put in, as shown: the click-off's 1 − 1e-6 quantile from
/// an empty tank at the meter's 1e-4 quantile.
double most_amount(const scenario::Scenario& scenario);

/// Options for the estimates of a search and its answer: the user's seed and threads, the fast
/// method, to the user's precision or 1 %, whichever is finer.
estimate::Options for_solving(const estimate::Options& options);

/// How amounts and readings of the scenario are solved and confirmed under these options.
estimate::Methods methods_of_solving(const scenario::Scenario& scenario,
                                     const estimate::Options& options);

/// The most steps of a display that an answer moves on where a fresh estimate disagrees with the
/// search by a hair.
inline constexpr int k_most_steps = 20;

/// What a dispenser or gauge shows: multiples of `step`, up or down. A value within a thousandth of
/// a step of a multiple is that multiple.
double rounded_up(double value, double step);
double rounded_down(double value, double step);

/// The nearest multiple, for differences of what is shown.
double rounded(double value, double step);

}  // namespace blendrisk::decide
