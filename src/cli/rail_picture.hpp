#pragma once

#include "cli/options.hpp"
#include "decide/arrive.hpp"
#include "report/figure.hpp"

namespace blendrisk::cli {

/// The picture of an answer of `arrive`, see report::rail_figure.
report::Figure rail_picture(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                            const Arguments& arguments);

}  // namespace blendrisk::cli
