#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "estimate/blend_columns.hpp"
#include "estimate/interval.hpp"
#include "sampling/joint_sampler.hpp"
#include "sampling/random_streams.hpp"

/// The chance of an event as the mean of a conditional chance over scrambled Sobol' points.
namespace blendrisk::estimate {

/// What is averaged: the chance of the event given all inputs of a case but those that it
/// integrates itself.
class Integrand {
 public:
  Integrand() = default;
  Integrand(const Integrand&) = delete;
  Integrand& operator=(const Integrand&) = delete;
  virtual ~Integrand() = default;

  /// f[i] in [0, 1] for the first f.size() cases. `nearness`, where not empty, is greater the
  /// nearer a case is to the event, also where f is 0.
  virtual void evaluate(const sampling::CaseBatch& batch, BlendColumns& columns,
                        std::span<double> f, std::span<double> limit_state) const = 0;
};

/// The most points that a round of an estimate has.
inline constexpr std::uint64_t k_largest_round = std::uint64_t{1} << 27U;

/// An integrand with the inputs that it needs drawn.
struct Problem {
  sampling::JointSampler sampler;
  const Integrand* integrand;
  std::uint64_t seed;
  sampling::Purpose purpose;
  /// The most points of a round.
  std::uint64_t budget = k_largest_round;
  /// The risk that the chance is held against, 0: none. Where no point shows a chance at all, there
  /// are as many as it takes to bound it by that.
  double risk = 0.0;

  const sampling::CaseInputs& inputs() const { return sampler.inputs(); }
  /// How many inputs are drawn.
  std::size_t size() const { return sampler.size(); }
};

/// Columns for one batch of points, allocated once and used again by every run.
class Workspace {
 public:
  static constexpr std::size_t k_capacity = 512;
  explicit Workspace(const sampling::CaseInputs& inputs);

  sampling::CaseBatch batch;
  BlendColumns columns;
  std::vector<double> u, tilted, stretched, log_ratio, stretch, f, limit_state;
  std::vector<std::uint32_t> digits;
};

/// How the points of a replicate are mixed: for eight of the main law (tilted, or the inputs' own
/// where there is no tilt) one of the inputs' own where there is a tilt and, where wanted, one with
/// an input stretched, each in turn at random. No weight is above 10.
///
/// With log-concave laws misses are likely in one place, which a fitted tilt finds. Others (heavy
/// tails, rare values) may also miss by one input alone going far, where a tilt fitted to
/// another place would not look: the stretched points see that.
struct Mixture {
  sampling::Strengths strengths;  ///< of the tilt in the order of the sampler, or empty
  bool stretch = false;

  bool tilted() const { return !strengths.empty(); }
};

/// The mixture for a problem, without a tilt yet.
Mixture mixture_for(const Problem& problem);

/// 2^log2_points of the main law in each replicate, and an eighth as many of each other.
struct Size {
  unsigned replicates = 16;
  unsigned log2_points = 4;
};
std::uint64_t points_in(const Size& size, const Mixture& mixture);

/// One round: the mean of each replicate.
struct Round {
  std::vector<double> means;
  std::uint64_t evaluations = 0;
  /// (Σ w f)² / Σ (w f)² over all points, as a share of their number: how evenly they carry the
  /// sum.
  double effective_share = 0.0;
};

/// @param round     names the scrambling: another round has other points
/// @param tell      called with the evaluations done so far in this round, from this thread
Round run_round(const Problem& problem, const Mixture& mixture, const Size& size,
                std::uint64_t round, unsigned threads, Workspace& workspace,
                const std::function<void(std::uint64_t)>& tell);

}  // namespace blendrisk::estimate
