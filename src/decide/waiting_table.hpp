#pragma once

#include <optional>
#include <vector>

#include "decide/wait_for.hpp"

/// What the content sensor has to show by when, before the calibration is switched.
namespace blendrisk::decide {

struct WaitingRow {
  double burn_l = 0.0;
  std::optional<double> time_s;  ///< at the median rates
  double reading = 0.0;          ///< so much or more (or less) from then on
  double shown_by_then = 0.0;    ///< share of cases in which this or an earlier row was met
  double within = 0.0;           ///< share of cases whose injectors get fuel within the limit then
};

/// Followed as it is written: look at the sensor at each row, and as far apart after the last,
/// whose reading holds from then on; switch at the first that is met.
struct WaitingTable {
  std::vector<WaitingRow> rows;  ///< none: see why_none
  double every_l = 0.0;          ///< burned between looks
  double until_l = 0.0;          ///< the last look
  /// The injectors then still outside the limit, among the cases that switch; on points of its own.
  estimate::Estimate too_early;
  double triggers = 0.0;  ///< share of cases that ever switch
  std::optional<NoReading> why_none;
};

/// For burned volumes on a round grid the reading nearest to the limit, at it or beyond, in steps
/// of the sensor's display, such that of the cases that show just this then, and of those that
/// show any farther one, the injectors of a share within limits.accepted-risk are outside the
/// limit: the specific risk of JCGM 106:2012 (from memory) given one reading, with the prior of the
/// scenario, the line, and the sensor's bias, noise, step and lag. Noise, and a bias that stands
/// alone, are integrated over. The chance is taken to fall, and the rows with it, the farther the
/// reading lies beyond the limit and the more is burned (isotonic regression by pooling adjacent
/// violators: M. Ayer and others, Annals of Mathematical Statistics 26, 1955; from memory). A row
/// whose reading, or one beyond, fewer than 1 in 100 cases show then is left out.
///
/// The table as a whole is then held to the same risk: with a fresh noise at every look the share
/// of those too early among all that switch, one standard error of it added, on the cases of the
/// search and on fresh ones; where it is not within the risk the rows are made for a smaller one.
/// @param arrival   of the same line and target
/// @param cases     followed in round 0; used again where there are as many as this follows
/// @param unit_l    what the grid is round in [L]
WaitingTable solve_waiting_table(const line::Line& line, const estimate::Limit& target,
                                 const line::Arrival& arrival, line::ArrivalCases cases,
                                 const estimate::Options& options, double unit_l);

}  // namespace blendrisk::decide
