#pragma once

#include <span>
#include <vector>

#include "line/fuel_line.hpp"
#include "models/chain_batch.hpp"
#include "models/lagged_batch.hpp"

/// The lines of a batch of cases by columns: what LineCase is of one.
namespace blendrisk::line {

class LineBatch {
 public:
  /// @param line  has to outlive this
  explicit LineBatch(const Line& line);

  /// The first n cases of a batch, which has to stay as it is while this is used.
  /// @param landed   content of the tank after the fill
  /// @param total_l  and its volume
  void load(const sampling::CaseBatch& batch, const double* landed, const double* total_l,
            std::size_t n);

  std::size_t size() const { return old_.size(); }
  models::ChainColumns to_sensor() const;
  models::ChainColumns to_injectors() const;
  /// With the return flow; none where the scenario has no rates.
  std::span<const models::RateColumn> through() const { return through_; }
  /// Content of the line before the fill, of the tank in the end, and the sensor's bias.
  std::span<const double> old() const { return old_; }
  std::span<const double> settled() const { return settled_; }
  std::span<const double> bias() const { return bias_; }

  /// Content of a place that so much of the change has reached.
  double content(std::size_t i, double share) const {
    return old_[i] + (settled_[i] - old_[i]) * share;
  }

  /// q_l[i] = LineCase::passed of case i, and back as LineCase does.
  void passed(const Moment& moment, std::span<double> q_l) const;
  double burned_once_passed(std::size_t i, double q_l) const;
  double time_once_passed(std::size_t i, double q_l) const;

  /// All fuel of case i's line [L].
  double volume_l(std::size_t i) const;

 private:
  models::RatePhase phase(std::size_t i, std::size_t k, bool with_return) const;
  double passed_once_burned(std::size_t i, double burned_l) const;

  const Line& line_;
  const double *reservoir_ = nullptr, *filter_ = nullptr, *pipe_ = nullptr, *beyond_ = nullptr;
  const double* back_ = nullptr;
  bool flows_back_ = false;  ///< in any case
  std::vector<double> old_, settled_;
  std::span<const double> bias_;
  models::Pipe flow_;
  std::vector<models::RateColumn> burned_, through_;
  std::vector<std::vector<double>> sums_;  ///< of rate and return flow
};

}  // namespace blendrisk::line
