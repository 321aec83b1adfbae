#pragma once

#include <array>
#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "models/prepared_chain.hpp"

/// The residence laws of many cases at once, by the formulas of PreparedChain.
namespace blendrisk::models {

/// Chains by columns, a row a case.
struct ChainColumns {
  std::array<const double*, 3> stirred_l{};  ///< each volume >= 0; none: 0 in every case
  const double* pipe_l = nullptr;            ///< the same
  Pipe pipe = Pipe::laminar;

  Chain chain(std::size_t i) const;
};

/// Prepared once and then evaluated at many volumes. Its storage stays from batch to batch.
class ChainBatch {
 public:
  /// @param n  cases
  void prepare(const ChainColumns& chains, std::size_t n);

  /// f[i] = PreparedChain::cdf of case i at q_l[i], with an error of its own below 1e-9 where
  /// volumes are nearly equal and 1e-13 else; of the first f.size() cases.
  void cdf(std::span<const double> q_l, std::span<double> f) const;

  /// q_l[i] = PreparedChain::quantile of case i at share[i], to 1e-10 of it; of the first
  /// share.size() cases.
  void quantile(std::span<const double> share, std::span<double> q_l) const;

 private:
  /// Columns in one piece: A_i, 1/V_i, h(V/2V_i), or −1 without a laminar pipe, for each of three
  /// volumes; the volume before which nothing new comes.
  enum Column : std::size_t { k_weight = 0, k_rate = 3, k_at_pipe = 6, k_begin = 9 };
  static constexpr std::size_t k_columns = 10;
  struct Search;

  double* column(std::size_t i) { return values_.get() + i * capacity_; }
  const double* column(std::size_t i) const { return values_.get() + i * capacity_; }
  void prepare_stirred(const ChainColumns& chains);
  void search(Search& active, std::span<double> q_l) const;
  /// The mean of case i's law from `begin` on.
  double mean_past(std::size_t i) const;

  std::unique_ptr<double[]> values_;
  std::size_t capacity_ = 0, size_ = 0;
  std::size_t count_ = 0;  ///< volumes that are not 0 in every case
  bool laminar_ = false;   ///< there is a pipe, and its flow is
  Pipe pipe_ = Pipe::laminar;
  std::vector<double> scratch_;
  std::vector<std::size_t> hard_;      ///< cases by residence_cdf
  std::vector<PreparedChain> harder_;  ///< these
};

}  // namespace blendrisk::models
