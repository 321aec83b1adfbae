#pragma once

#include <cstddef>
#include <exception>
#include <optional>
#include <string>
#include <vector>

#include "learn/changeover_log.hpp"
#include "learn/fitted.hpp"
#include "scenario/scenario.hpp"

/// The volumes of a line from a logged changeover.
namespace blendrisk::learn {

/// What is to be said of a fit.
struct Note {
  enum class What {
    idle_varies,     ///< the logged rate varies too much to be idling throughout
    stirred_order,   ///< which of two stirred volumes comes first is the scenario's to say
    mean_of_both,    ///< without the part `key` it fits as well: the numbers are means of both fits
    other_flow,      ///< with the law `key` of the pipe it fits clearly better
    either_flow,     ///< about as well, with a pipe of `value` [L]
    display_steps,   ///< neighbouring readings are off together, as a display's steps make them
    correlated,      ///< beyond that; the errors are `value` times those of independent readings
    bias_in_levels,  ///< neither the bias nor line.beyond-sensor can be told
    no_rate,         ///< only volume over rate is known
    no_rate_spread,  ///< and the spread of the scenario's rates is in the errors
    ends_early,      ///< when the share `value` of the change has come
    scatters,        ///< by much more than the scenario's sensor does
    clock_zero       ///< time 0 is the log's first row, `key` by its clock
  };
  What what;
  std::string key{};
  double value = 0.0;
};

/// A log that tells nothing.
struct UntellingLog : std::exception {
  enum class Why { few_rows, steady, nothing_burned, no_rate };
  explicit UntellingLog(Why what, std::size_t has = 0, std::size_t parameters = 0,
                        std::size_t wanted = 0)
      : why(what), rows(has), unknowns(parameters), least_rows(wanted) {}

  Why why;
  std::size_t rows, unknowns, least_rows;  ///< of few_rows
};

struct ChangeoverFit {
  std::vector<Fitted> volumes;
  std::optional<Fitted> stirred_sum;   ///< where only the sum of two stirred volumes is known
  std::optional<Fitted> idle;          ///< from a logged rate
  std::optional<Fitted> drift;         ///< of the sensor [1/s], where the log tells it
  std::vector<std::size_t> off_lines;  ///< of readings left out, too far off to be of the rest
  double rate_scatter = 0.0;           ///< of a logged rate, relative
  Fitted before, after;                ///< levels that the sensor shows, its bias included; at time
                                       ///< 0 where it drifts
  std::size_t rows = 0, bins = 0;
  double dof = 0.0;
  double residual_sd = 0.0;  ///< of one reading
  /// Neighbouring residuals that tell as much as one, see correlation_length; 1: independent.
  double correlation_length = 1.0;
  double expected_sd = 0.0;  ///< the scenario's noise and rounding; 0: it gives neither
  double last_share = 0.0;   ///< how far the change has come at the end of the log
  bool rate_logged = false;
  std::vector<Note> notes;
};

/// Least squares of reading = before + (after − before) L(q(t)), see fit_chain and fit_log, L the
/// residence law of reservoir, pipe and filter up to the sensor with the sensor's lag. Fitted are
/// those parts of the line that the scenario gives a volume; where it gives none, reservoir and
/// pipe. More than 2000 rows are averaged in as many bins, weighted by their number.
///
/// Standard errors: s² (JᵀJ)⁻¹ in the volumes themselves, s² the residual variance; what the
/// display's step adds (display_covariance); where neighbouring residuals go together beyond that,
/// wider by the square root of correlation_length, and that is said. Where a line with one part
/// less fits as well (F test, 1 %) that part is not told, and the others are the means of both
/// fits, whose difference is in their errors.
///
/// Without a logged rate only volume ÷ rate is known, and the rates are the scenario's: their
/// relative spread is added to the volumes' errors in quadrature, as is that of line.return-flow in
/// either case.
///
/// @throws UntellingLog where the log cannot tell anything: fewer rows than it takes, a
/// reading that does not move, no rate anywhere
ChangeoverFit fit_changeover(const ChangeoverLog& log, const scenario::Scenario& scenario);

}  // namespace blendrisk::learn
