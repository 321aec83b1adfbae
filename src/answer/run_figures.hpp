#pragma once

#include <array>
#include <vector>

#include "answer/figure.hpp"
#include "answer/format.hpp"
#include "decide/arrive.hpp"
#include "decide/drivers.hpp"
#include "tank/landed_profile.hpp"

/// Pictures of one answer.
namespace blendrisk::answer {

/// Range of contents that a picture of where the tank lands covers: the middle 99.9 % or so with
/// the limits that lie near.
std::array<double, 2> landed_range(const scenario::Scenario& scenario,
                                   const estimate::Landed& landed);

/// The line of a limit of the tank's content.
FigureLevel limit_level(const estimate::Limit& limit, bool vertical);

/// How the landed content is spread, with the limits, what lies outside them shaded.
Figure landed_figure(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                     const tank::LandedProfile& profile);

/// Burned volumes [L] that a picture of the rail covers: until nearly all has come.
std::vector<double> rail_grid(const decide::ArriveResult& result);

/// The same for a picture of the waiting table: up to its last look. @pre it has rows
std::vector<double> waiting_grid(const decide::ArriveResult& result);

/// 5 %, median and 95 % over the cases, at volumes burned.
struct RailBands {
  std::vector<std::array<double, 3>> rail;    ///< content at the injectors
  std::vector<std::array<double, 3>> sensor;  ///< what it shows
};

/// Content at the injectors against what was burned: median and middle 90 %, with the limit; and, a
/// curve of its own, what the sensor shows, with the reading to wait for where there is one. Below
/// the volumes stand the times at the median rates, where there are any.
/// @param bands    at the volumes of `burn_l`
/// @param times_s  at these volumes; empty: none
Figure rail_figure(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                   const std::vector<double>& burn_l, const RailBands& bands,
                   const std::vector<double>& times_s, UnitSystem units);

/// What the sensor has to show against what was burned, with what it will show, median and middle
/// 90 %, the content at the injectors, the limit, and what to burn without a sensor. @pre the
/// waiting table has rows
Figure waiting_figure(const scenario::Scenario& scenario, const decide::ArriveResult& result,
                      const std::vector<double>& burn_l, const RailBands& bands,
                      const std::vector<double>& times_s, UnitSystem units);

/// The lines of the band that the old calibration bears, as far as the content crosses them.
void add_before(const scenario::Scenario& scenario, double low, double high, Figure& figure);

/// The axis of burned volumes with the times below its ticks, and one of contents with room at both
/// ends, for such pictures.
FigureAxis burned_axis(const std::vector<double>& burn_l, const std::vector<double>& times_s,
                       UnitSystem units);
FigureAxis content_axis(double low, double high);

/// Bars of the first-order and the total index of each input, the largest first.
Figure drivers_figure(const scenario::Scenario& scenario, const decide::Drivers& result);

}  // namespace blendrisk::answer
