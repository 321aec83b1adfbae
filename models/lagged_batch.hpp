#pragma once

#include <span>
#include <vector>

#include "models/chain_batch.hpp"

/// How far the sensors of many cases have followed the change of their fuel, by the formulas of
/// LaggedShare.
namespace blendrisk::models {

/// A phase of every case, each at a constant rate of its own.
struct RateColumn {
  const double* rate_l_per_s;  ///< each >= 0
  double duration_s;           ///< > 0; infinite for the last, which goes on
};

/// Prepared once and then evaluated at many volumes. Its storage stays from batch to batch.
class LaggedBatch {
 public:
  /// @param to_sensor  chains with at most two stirred volumes, the third is none
  /// @param phases     of the flow through the line; may be empty where lag_s is 0
  /// @param lag_s      time constant τ [s], >= 0
  /// @param n          cases
  void prepare(const ChainColumns& to_sensor, std::span<const RateColumn> phases, double lag_s,
               std::size_t n);

  /// share[i] = L of case i once q_l[i] has been pumped; of the first share.size() cases.
  void at(std::span<const double> q_l, std::span<double> share) const;

 private:
  /// By case, but for the chains where there is no lag.
  struct Stretch {
    std::vector<double> from_l, to_l;
    std::vector<double> lag_l;   ///< rate × τ
    std::vector<double> behind;  ///< L − H at from_l
    ChainBatch chains;
  };
  void start(Stretch& stretch, ChainColumns chains, const RateColumn& phase, double lag_s);
  void end(const Stretch& stretch, double left);

  std::vector<Stretch> stretches_;      ///< never empty once prepared; kept between batches
  std::size_t used_ = 0;                ///< of these
  std::vector<double> from_l_, share_;  ///< where the next stretch begins
};

}  // namespace blendrisk::models
