#pragma once

#include <optional>
#include <vector>

#include "estimate/randomised_qmc.hpp"
#include "estimate/weights.hpp"
#include "tank/linear_blend.hpp"

namespace blendrisk::tank {

/// Scrambled Sobol' points with their landed content, and as a line in the conditioned content.
/// Points are added batch by batch of every scrambling; what is there stays.
class LandedSample {
 public:
  static constexpr std::size_t k_scramblings = 8;
  static constexpr std::size_t k_batch = 512;

  /// @param inputs  has to outlive this
  LandedSample(const sampling::CaseInputs& inputs, std::optional<std::size_t> conditioned,
               std::uint64_t seed);

  /// Draws more, until there are so many batches of each scrambling.
  void grow(std::size_t batches);

  std::size_t size() const { return content.size(); }
  std::size_t batches() const { return size() / (k_scramblings * k_batch); }
  const std::optional<ConditionedContent>& law() const { return law_; }

  /// Σ of a column over the points of one scrambling.
  double sum_of(const std::vector<double>& column, std::size_t scrambling) const;

  /// Contents of all points, or of one scrambling, with their weights; none where these are all 0.
  std::vector<estimate::Weighted> weighted() const;
  std::vector<estimate::Weighted> weighted(std::size_t scrambling) const;

  std::vector<double> content{}, a{}, b{};
  std::vector<double> centre{};  ///< of the conditioned content's score; empty if independent
  /// Chances of what is known given all inputs, and given all but the conditioned one; 1 where
  /// nothing is.
  std::vector<double> all{}, line{};

 private:
  void draw(std::size_t batch, std::size_t scrambling);

  const sampling::CaseInputs& inputs_;
  std::optional<std::size_t> conditioned_;
  std::uint64_t seed_;
  sampling::JointSampler sampler_;
  LinearBlend drawn_, line_;
  std::optional<ConditionedContent> law_;
  estimate::Workspace space_;
};

}  // namespace blendrisk::tank
