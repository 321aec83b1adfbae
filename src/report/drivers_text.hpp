#pragma once

#include <string>

#include "decide/drivers.hpp"
#include "report/figure.hpp"
#include "report/format.hpp"

namespace blendrisk::report {

/// The text answer of `drivers`: what knowing each input would be worth, and its share of the
/// spread.
std::string drivers_text(const scenario::Scenario& scenario, const decide::Drivers& result,
                         const estimate::Options& options, UnitSystem units);

/// The same as one JSON object on one line.
std::string drivers_json(const scenario::Scenario& scenario, const decide::Drivers& result,
                         const estimate::Options& options, double elapsed_s);

/// Bars of the first-order and the total index of each input, the largest first.
Figure drivers_figure(const scenario::Scenario& scenario, const decide::Drivers& result);

}  // namespace blendrisk::report
