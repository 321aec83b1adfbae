#pragma once

#include <functional>
#include <span>

#include "estimate/randomised_qmc.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/xoshiro.hpp"
#include "tank/linear_blend.hpp"

/// Draws whole cases of Scope::line, a batch at a time.
namespace blendrisk::line {

/// Uniforms of one block, dimension by dimension and batch by batch.
class BlockPoints {
 public:
  /// @param round, block  name the points: others have others
  BlockPoints(const estimate::Options& options, std::uint64_t round, std::size_t block);

  /// Whether every batch has to be drawn for the next to be what it is.
  bool in_sequence() const { return crude_; }

  /// u becomes a dimension of the cases from number `first` on.
  void fill(std::size_t first, std::size_t dimension, std::span<double> u);

 private:
  bool crude_;
  sampling::Stream stream_;
  sampling::Xoshiro numbers_;
};

/// Cases that were drawn, a batch at a time, and what is to be known of them.
struct Drawn {
  const sampling::CaseBatch& batch;
  const double *landed, *total_l;  ///< content and volume of the tank after the fill
  const double* noise;             ///< of one reading each
  std::size_t first, count;        ///< numbers of the cases
};

/// Draws cases of Scope::line with their landing and the noise of one reading each.
class CaseDrawer {
 public:
  using Use = std::function<void(const Drawn&)>;

  explicit CaseDrawer(const sampling::CaseInputs& inputs);

  /// use(Drawn) for all cases of `count`, batch by batch. Where fills are done, cases are drawn
  /// with the chances of what is known as their weights and chosen again by these
  /// (estimate::resampled), each with a noise of its own.
  void each(BlockPoints& points, std::size_t count, const Use& use);

 private:
  void draw(BlockPoints& points, std::size_t first, std::size_t n);
  void each_chosen(BlockPoints& points, std::size_t count, const Use& use);
  void take(std::span<const std::size_t> chosen, std::size_t from, estimate::Workspace& taken);

  tank::LinearBlend landing_;
  sampling::JointSampler sampler_;
  estimate::Workspace space_;
};

}  // namespace blendrisk::line
