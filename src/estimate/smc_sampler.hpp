#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <vector>

#include "estimate/interval.hpp"
#include "estimate/weights.hpp"

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

/// How far cases climbed a limit state.
struct Climb {
  double level = 0.0;
  MeanOfReplicates share;  ///< of the cases at or above it
  bool reached = false;    ///< the level asked for
};

/// Cases of one block with equal weights.
struct Block {
  Eigen::ArrayXXd z;          ///< a row a case
  double log_evidence = 0.0;  ///< ln of this block's estimate of the likelihood's mean
};

/// A normal law of several coordinates.
struct NormalFit {
  Eigen::VectorXd mean;
  Eigen::MatrixXd root;  ///< of the covariance, the lower triangle
};

class SmcSampler {
 public:
  static constexpr std::size_t k_blocks = 16;

  /// Draws from the prior: scrambled Sobol' points in each block.
  /// @param each  cases in each block
  SmcSampler(std::size_t dimensions, std::size_t each, std::uint64_t seed);

  /// Lets the new data in.
  /// @param make  likelihoods whose old data are those let in so far
  void temper(const MakeLikelihood& make, unsigned threads);

  /// Moves the cases about without any new data: they forget where they came from.
  /// @param make  likelihoods whose old data are all that were let in
  void rejuvenate(const MakeLikelihood& make, unsigned threads);

  /// Keeps to the cases whose limit state is at or above a level, and moves them about there:
  /// level after level, each met by a quarter of those of the last one (subset simulation: S.-K.
  /// Au, J. L. Beck, Probabilistic Engineering Mechanics 16, 2001; levels set by the cases: F.
  /// Cérou, P. Del Moral, T. Furon, A. Guyader, Statistics and Computing 22, 2012; from memory).
  /// Ends at `level`; before it where no case gets any higher, and at the level that the share
  /// `least` of the cases are at or above.
  /// @param make  likelihoods whose old data are all that were let in, and whose new data are the
  ///              limit state, finite
  Climb climb(const MakeLikelihood& make, double level, double least, unsigned threads);

  /// A normal law of the cases' means and covariances.
  /// @param wider  its variances over theirs
  NormalFit fit(double wider) const;

  const std::vector<Block>& blocks() const { return blocks_; }
  /// Weights of the blocks, by their evidence; they sum to 1.
  std::vector<double> weights() const;
  /// The weighted mean of all cases.
  Eigen::ArrayXd centre() const;
  std::uint64_t evaluations() const { return evaluations_; }

 private:
  struct Values {
    std::vector<double> old_data, new_data;
  };
  /// What cases move by: the power of the new data, and the least that they may be.
  struct Target {
    double power, floor;
  };

  double next_power(double power) const;
  void resample(double step, std::uint64_t stage);
  void choose(std::size_t block, const std::vector<std::size_t>& from);
  std::vector<Weighted> limit_states() const;
  void keep_from(double level);
  void evaluate(const MakeLikelihood& make, unsigned threads);
  void move_all(const MakeLikelihood& make, const Target& target, double wider, std::size_t moves,
                unsigned threads);
  void move(std::size_t block, const NormalFit& proposal, const Target& target, double keep,
            std::uint64_t key, Likelihood& likelihood);

  std::size_t dimensions_, each_;
  std::uint64_t seed_;
  std::uint64_t stage_ = 0;  ///< over all tempering, names the random streams
  std::vector<Block> blocks_;
  std::vector<Values> values_;
  std::uint64_t evaluations_ = 0;
};

}  // namespace blendrisk::estimate
