#pragma once

#include "cli/options.hpp"
#include "decide/arrive.hpp"
#include "render/gnuplot_script.hpp"

namespace blendrisk::cli {

/// The picture of the waiting table, see answer::waiting_figure; where it has no rows the next one.
answer::Figure waiting_picture(const scenario::Scenario& scenario,
                               const decide::ArriveResult& result, const Arguments& arguments);

/// The picture of the fuel at the injectors, see answer::rail_figure.
answer::Figure rail_picture(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                            const Arguments& arguments);

}  // namespace blendrisk::cli
