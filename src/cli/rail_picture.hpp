#pragma once

#include "cli/options.hpp"
#include "decide/arrive.hpp"
#include "render/gnuplot_script.hpp"

namespace blendrisk::cli {

/// The picture of an answer of `arrive`, see answer::rail_figure.
answer::Figure rail_picture(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                            const Arguments& arguments);

}  // namespace blendrisk::cli
