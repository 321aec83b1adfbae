#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "learn/student_law.hpp"

/// The gauge's error and the volume at click-off, from logged fills.
namespace blendrisk::learn {

/// One fill, in litres.
struct GaugeRow {
  double indicated = 0.0;       ///< by the gauge, before the fill
  std::optional<double> shown;  ///< by the dispenser, of a fill to click-off
  std::optional<double> heel;   ///< what was truly left, where it was drained or measured
};

/// What the scenario says. Litres.
struct GaugeQuestion {
  double at = 0.0;                                 ///< the indication that the error is wanted at
  double click_off = 0.0, click_off_sd = 0.0;      ///< its law's mean and standard deviation
  double step = 0.0;                               ///< of the gauge's display
  double meter_error = 0.0, meter_error_sd = 0.0;  ///< the same of the dispenser's, relative
};

/// Why there is no law.
enum class NoGaugeLaw { few_rows, all_equal };

struct GaugeLaws {
  std::size_t fills = 0;         ///< to click-off, that the law rests on
  std::size_t heels = 0;         ///< measured
  std::vector<std::size_t> off;  ///< rows too far off to be of the rest
  std::optional<NoGaugeLaw> none;
  bool constant = false;           ///< every indication is the same: no slope to be told
  std::optional<double> slope;     ///< of the error over the indication, where it is told
  double slope_chance = 1.0;       ///< of so much slope where there is none
  double scatter = 0.0;            ///< of one fill about the fit
  double step_l = 0.0;             ///< of the gauge's display, as the question says
  bool step_explains_all = false;  ///< of the scatter
  /// Of the gauge, true − indicated, at `at`, without what its display's step leaves open.
  std::optional<StudentLaw> error;
  std::optional<StudentLaw> click_off;  ///< where measured heels tell it, too
  /// Spearman's, of click-off and gauge error, the step's part included: 6/π asin(r/2) of their
  /// correlation r as normals (K. Pearson 1907, from memory).
  double rank_correlation = 0.0;
};

/// shown (1 + meter error) + indicated = T − g for a fill to click-off, heel − indicated = g where
/// it was measured; g = α + β (indicated −
/// their mean) + scatter, T with the scenario's law, and where both are known the mean of shown (1
/// + meter error) + heel, as uncertain as these scatter or, if that is more, the gauge does. β is
/// kept where an F test at 1 % tells it. The scatter's variance has the distribution that the
/// residuals give it, step²/12 at least, which leaves it in the error's law (JCGM 100:2008,
/// F.2.2.1, from memory); with a step of 0 what the gauge rounds is in the error, as it is in that
/// of an indication. Click-off is the next fill's: as wide as T is uncertain and fills may differ,
/// but no wider than the scenario's law unless measured totals scatter more; the correlation makes
/// click-off less the error scatter as the log's fills do. Where the scenario's click-off is exact,
/// so it stays.
/// @pre rows are not empty; each has `shown` or `heel`
GaugeLaws gauge_laws(const std::vector<GaugeRow>& rows, const GaugeQuestion& question);

}  // namespace blendrisk::learn
