#pragma once

#include <Eigen/Core>
#include <array>
#include <vector>

#include "learn/changeover_log.hpp"
#include "models/sensor.hpp"
#include "scenario/scenario.hpp"

/// What the sensor of a line with given volumes would have logged.
namespace blendrisk::learn {

/// Rows averaged in bins of about equal number.
struct Bins {
  std::vector<double> time_s, reading;
  std::vector<double> passed_l;  ///< through the line since time 0
  std::vector<double> weight;    ///< rows in each
  std::vector<double> walk;      ///< variance that passed_l takes on from the bin before [L²]
};

/// Most bins of a log.
inline constexpr std::size_t k_most_bins = 2000;

/// Phases of the flow through the line at the scenario's mean rates; empty where it has none.
std::vector<models::RatePhase> mean_phases(const scenario::Scenario& scenario);

/// The volume passed by each row: the trapezoidal rule over the logged rate (its first value from
/// time 0 on), or the phases; with the mean return flow.
/// @param off  rows whose readings are left out, in their order
Bins binned(const ChangeoverLog& log, const scenario::Scenario& scenario,
            const std::vector<std::size_t>& off = {});

/// The chain's parts in the order reservoir, filter, pipe.
using Volumes = std::array<double, 3>;

/// How far the sensor has followed at every bin, 0 to 1.
class LineModel {
 public:
  LineModel(const Bins& bins, const scenario::Scenario& scenario, bool rate_logged);
  std::vector<double> shares(const Volumes& volumes) const;

 private:
  std::vector<double> lagged(const models::PreparedChain& chain) const;

  const Bins& bins_;
  models::Pipe pipe_;
  double lag_s_;
  bool rate_logged_;
  std::vector<models::RatePhase> phases_;
};

}  // namespace blendrisk::learn
