#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "decide/cells.hpp"
#include "estimate/brier.hpp"
#include "estimate/calibration.hpp"
#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

/// Forecasts held against what came.
namespace blendrisk::decide {

/// A fill whose tank was tested after it.
struct TestedFill {
  scenario::Scenario scenario;  ///< with all that was known before the test
  std::optional<double> pump_test;
  double test = 0.0;
};

/// Orders of the quantiles of a forecast that are kept.
inline constexpr std::array<double, 7> k_forecast_orders{0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975};

/// What was forecast of a test, and how it came. Contents are fractions.
struct Forecast {
  double test = 0.0;
  double mean = 0.0, standard_deviation = 0.0;
  std::array<double, 7> quantiles{};  ///< at k_forecast_orders
  double share = 0.0;                 ///< that lay below the test; of equal values a random part
  double score = 0.0;                 ///< its normal score
  scenario::Limits limits;
  double miss_chance = 0.0;  ///< of a test outside the limits
  bool missed = false;
  double crps = 0.0;
  double plain = 0.0;  ///< plain arithmetic's forecast
  /// Why there is no forecast, where no case fits what was known.
  std::optional<estimate::ImpossibleScenario> excluded = {};
};

struct Coverage {
  double level = 0.0;  ///< 0.5, 0.8, 0.95
  std::uint64_t held = 0;
  estimate::Estimate share = {};  ///< Clopper and Pearson's interval
};

/// Of rows that were forecast, one at least.
struct Judgement {
  estimate::Calibration calibration;
  double shift = 0.0;  ///< what came lies so much above its forecast
  std::array<double, 2> shift_interval{};
  double cramer_von_mises = 0.0, p = 0.0;
  std::array<Coverage, 3> coverage;
  estimate::ExpectedMisses expected;
  std::uint64_t missed = 0;
  estimate::BrierParts brier;
  double crps = 0.0, plain_error = 0.0;  ///< means; plain arithmetic's is its absolute error
  double typical_sd = 0.0;               ///< mean of the forecasts'
  /// 1 - crps/plain_error: none where plain arithmetic was right each time.
  std::optional<double> skill;
};

struct Verified {
  std::vector<Forecast> rows;    ///< in the order asked for
  std::optional<Judgement> all;  ///< none where no row was forecast
  std::size_t excluded = 0;
};

/// Asked from several threads. @throws text::Error
using TestedFillOf = std::function<TestedFill(std::size_t row)>;

/// Each row forecast from what was known of it, and the verdict on all. Rows that nothing fits are
/// told apart. Same seed, same bytes, on any number of threads.
/// @return nothing where progress said to give up
Verified verify(std::size_t rows, const TestedFillOf& fill_of, const estimate::Options& options,
                const CellProgress& progress = {});

/// The verdict on some of the rows. @pre one at least was forecast
Judgement verdict_on(const std::vector<const Forecast*>& rows);

}  // namespace blendrisk::decide
