#pragma once

#include "answer/run_figures.hpp"
#include "decide/arrive.hpp"

/// Pictures of how the fuel arrives, with the cases that they show.
namespace blendrisk::ask {

/// The picture of the waiting table, see answer::waiting_figure; where it has no rows the next one.
answer::Figure waiting_picture(const scenario::Scenario& scenario,
                               const decide::ArriveResult& result, const estimate::Options& options,
                               answer::UnitSystem units);

/// The picture of the fuel at the injectors, see answer::rail_figure.
answer::Figure rail_picture(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                            const estimate::Options& options, answer::UnitSystem units);

}  // namespace blendrisk::ask
