#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <span>

#include "estimate/blend_columns.hpp"
#include "estimate/result.hpp"
#include "sampling/conditional_law.hpp"
#include "tank/dispenser_evidence.hpp"

/// Where a batch of cases lands, as a straight line in one content: landed = a + b x.
namespace blendrisk::tank {

/// Evaluates cases. No content conditioned: b is 0 and a the landed content.
class LinearBlend {
 public:
  /// @param conditioned slot of a content (the old fuel's, a pump's or a hose's), or none
  LinearBlend(const sampling::CaseInputs& inputs, std::optional<std::size_t> conditioned)
      : LinearBlend(inputs, conditioned, inputs.uncertain(conditioned.value_or(inputs.size()))) {}
  /// @param drawn  the inputs that are drawn, in that order
  LinearBlend(const sampling::CaseInputs& inputs, std::optional<std::size_t> conditioned,
              std::span<const std::size_t> drawn);

  const sampling::CaseInputs& inputs() const { return *inputs_; }
  std::optional<std::size_t> conditioned() const { return conditioned_; }

  /// The first n cases of the batch. Where nothing is in the tank the old fuel counts. Where fills
  /// are done, what they tell is set in the batch, and out.weight() and out.misfit() too.
  void evaluate(sampling::CaseBatch& batch, std::size_t n, estimate::BlendColumns& out) const;

  /// The volumes of one fill (heel, total, short_l, earlier_total and the parts), after those of
  /// the fills before it.
  void fill_volumes(sampling::CaseBatch& batch, std::size_t fill, std::size_t n,
                    estimate::BlendColumns& out) const;

 private:
  void mix(const sampling::CaseBatch& batch, std::size_t fill, std::size_t n,
           estimate::BlendColumns& out) const;

  const sampling::CaseInputs* inputs_;
  std::optional<std::size_t> conditioned_;
  std::shared_ptr<const DispenserEvidence> evidence_;  ///< where a fill is done
};

/// @throws ImpossibleScenario where a fill may leave an empty tank: the first in more than 1e-4 of
/// cases (see CaseInputs::may_empty), a later one in some of 4096
void require_fuel(const sampling::CaseInputs& inputs);

/// An amount that is this little more than there is room for fits [L].
inline constexpr double k_tie_l = 1e-9;

/// The content to condition on: the one whose spread (half the middle two thirds), times its share
/// of the landed content with every input at its median, is largest. None where no content that
/// matters is uncertain.
/// @param left_out  slots that it must not be
std::optional<std::size_t> content_to_condition_on(const sampling::CaseInputs& inputs,
                                                   std::span<const std::size_t> left_out = {});

/// The law of the conditioned content, draws held within [0, 1] included. Where it is the old
/// fuel's by a reading, the content is reading − bias.
class ConditionedContent {
 public:
  /// The other inputs are drawn in the order of inputs.uncertain(slot), and what is told follows
  /// from them.
  ConditionedContent(const sampling::CaseInputs& inputs, std::size_t slot)
      : ConditionedContent(inputs, slot, inputs.with_told(inputs.uncertain(slot))) {}
  /// The others are drawn in that order.
  ConditionedContent(const sampling::CaseInputs& inputs, std::size_t slot,
                     std::span<const std::size_t> drawn);

  /// See ConditionalLaw.
  bool depends() const { return law_.depends(); }
  std::span<const double> centres(const sampling::CaseBatch& batch, std::span<double> room) const {
    return law_.centres(batch, room);
  }

  /// p[i] = P(a + b x < limit), or P(a + b x > limit); strict, so a step where b = 0.
  /// a, b at least as long as the output; m the centres, empty where it does not depend.
  void outside(estimate::Side side, double limit, const double* a, const double* b,
               std::span<const double> m, std::span<double> p) const;

 private:
  sampling::ConditionalLaw law_;
  bool reflected_;
  double reading_;
};

}  // namespace blendrisk::tank
