#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <vector>

/// Draws from a posterior whose prior is standard normal in every coordinate, by tempering: the
/// likelihood is let in little by little, cases that fit it worse give way to those that fit it
/// better, and all move about (Del Moral, Doucet and Jasra, Journal of the Royal Statistical
/// Society B 68, 2006, from memory). Blocks of cases are independent but for a common schedule and
/// common proposals, so that their scatter tells the error.
namespace blendrisk::estimate {

/// The likelihood of cases. One a thread.
class Likelihood {
 public:
  Likelihood() = default;
  Likelihood(const Likelihood&) = delete;
  Likelihood& operator=(const Likelihood&) = delete;
  virtual ~Likelihood() = default;

  /// For every row of z, a case: ln of the likelihood of the data that were let in before, and of
  /// the new.
  virtual void evaluate(const Eigen::ArrayXXd& z, std::span<double> old_data,
                        std::span<double> new_data) = 0;
};
using MakeLikelihood = std::function<std::unique_ptr<Likelihood>()>;

/// Cases of one block with equal weights.
struct Block {
  Eigen::ArrayXXd z;          ///< a row a case
  double log_evidence = 0.0;  ///< ln of this block's estimate of the likelihood's mean
};

class SmcSampler {
 public:
  static constexpr std::size_t k_blocks = 16;

  /// Draws from the prior: scrambled Sobol' points in each block.
  /// @param each  cases in each block, at most Workspace::k_capacity
  SmcSampler(std::size_t dimensions, std::size_t each, std::uint64_t seed);

  /// Lets the new data in.
  /// @param make  likelihoods whose old data are those let in so far
  void temper(const MakeLikelihood& make, unsigned threads);

  /// Moves the cases about without any new data: they forget where they came from.
  /// @param make  likelihoods whose old data are all that were let in
  void rejuvenate(const MakeLikelihood& make, unsigned threads);

  const std::vector<Block>& blocks() const { return blocks_; }
  /// Weights of the blocks, by their evidence; they sum to 1.
  std::vector<double> weights() const;
  /// The weighted mean of all cases.
  Eigen::ArrayXd centre() const;
  std::uint64_t evaluations() const { return evaluations_; }

 private:
  struct Proposal {
    Eigen::VectorXd mean;
    Eigen::MatrixXd root;  ///< lower triangle of the covariance
  };
  struct Values {
    std::vector<double> old_data, new_data;
  };

  double next_power(double power) const;
  void resample(double step, std::uint64_t stage);
  void evaluate(const MakeLikelihood& make, unsigned threads);
  void move_all(const MakeLikelihood& make, double power, std::size_t moves, unsigned threads);
  Proposal fit() const;
  void move(std::size_t block, const Proposal& proposal, double power, double keep,
            std::uint64_t key, Likelihood& likelihood);

  std::size_t dimensions_, each_;
  std::uint64_t seed_;
  std::uint64_t stage_ = 0;  ///< over all tempering, names the random streams
  std::vector<Block> blocks_;
  std::vector<Values> values_;
  std::uint64_t evaluations_ = 0;
};

}  // namespace blendrisk::estimate
