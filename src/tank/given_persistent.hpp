#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "estimate/limit.hpp"
#include "sampling/joint_sampler.hpp"
#include "sampling/score_mixture.hpp"
#include "tank/linear_blend.hpp"

/// The chance of a miss at one change of a car, given what errs alike at all its changes.
namespace blendrisk::tank {

/// The persistent inputs of a scenario that its landing depends on: the slots, in the order of
/// Scenario::policy, that are drawn.
std::vector<std::size_t> persistent_slots(const sampling::CaseInputs& inputs);

/// p(θ) = P(landing outside the limits | the persistent inputs are θ): the mean, over points of the
/// rest of the inputs, of the chance given all inputs but one content. Where no content but a
/// persistent one is uncertain, cases of the rest are counted.
class GivenPersistent {
 public:
  /// The most points of the rest.
  static constexpr std::size_t k_most_points = 512;

  /// @param inputs  of a scenario to plan; has to outlive this
  explicit GivenPersistent(const sampling::CaseInputs& inputs);

  const std::vector<std::size_t>& persistent() const { return persistent_; }

  /// New points of the rest: two halves under scramblings of their own.
  /// @param points  even, at most k_most_points
  void scramble(const sampling::Stream& stream, std::size_t points);

  /// Sets the persistent inputs as in case i of a batch of another scenario of the same car, in
  /// which they have the same laws.
  void take(const sampling::CaseInputs& others, const sampling::CaseBatch& batch, std::size_t i);

  /// The chance by either half of the points; both the same where there is no rest.
  std::array<double, 2> chances();

  /// How near the event is, as estimate::Integrand tells it, at the first points of the rest.
  double nearness();

  std::size_t points() const { return points_; }
  const sampling::CaseInputs& inputs() const { return inputs_; }

 private:
  const sampling::CaseInputs& inputs_;
  std::vector<estimate::Limit> limits_;
  std::vector<std::size_t> persistent_;
  std::optional<std::size_t> content_;
  sampling::JointSampler sampler_;  ///< the persistent inputs, then the rest
  LinearBlend landing_;
  std::optional<ConditionedContent> law_;
  sampling::CaseBatch batch_;
  estimate::BlendColumns columns_;
  sampling::Scores scores_;  ///< of the rest
  std::vector<double> f_, sum_;
  std::size_t points_ = 0;
};

}  // namespace blendrisk::tank
