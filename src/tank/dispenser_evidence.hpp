#pragma once

#include <optional>
#include <span>
#include <vector>

#include "estimate/blend_columns.hpp"
#include "sampling/conditional_law.hpp"

/// What the dispenser showed at the end of a fill, and the gauge at the end of the way to it, as
/// evidence of what the tank held.
namespace blendrisk::tank {

/// A fill that is done delivered A = shown × (1 + meter error). By hand it ended before the nozzle
/// shut off, at a click-off volume above heel + A. By click-off it ended at heel + A: then one
/// input (scenario::told_by_dispenser) is not drawn but follows from the others, and a case has as
/// its weight the chance of that input being so, to the hundredth of a litre that dispensers show
/// (common practice, no source). So no case is thrown away, and the mean of weight × event over
/// that of the weight is the chance given the figure (Bayes' theorem). So does a second look at the
/// gauge, whose two readings err by the same: distance × economy is what they differ by, and one of
/// these two (scenario::told_by_gauge) follows from the other.
class DispenserEvidence {
 public:
  /// @param drawn  the inputs that are drawn, in that order
  DispenserEvidence(const sampling::CaseInputs& inputs, std::span<const std::size_t> drawn);

  /// The second look of the first n cases, before any fill: sets the told input's column and
  /// out.weight() and misfit().
  void look_again(sampling::CaseBatch& batch, std::size_t n, estimate::BlendColumns& out) const;

  /// The done fill `fill` of the first n cases, after those before it: sets the told input's column
  /// and out.heel(), parts() and, for the first fill, weight() and misfit(), which later ones
  /// and one after a second look multiply and add to. out.total() holds the volume after the fill
  /// before.
  void fill(sampling::CaseBatch& batch, std::size_t fill, std::size_t n,
            estimate::BlendColumns& out) const;

 private:
  /// The told input of a fill, given those drawn and those told before.
  struct Told {
    std::size_t slot;
    sampling::ConditionalLaw law;
  };

  static void start(std::size_t n, estimate::BlendColumns& out);
  void heels(sampling::CaseBatch& batch, std::size_t fill, std::size_t n,
             estimate::BlendColumns& out) const;
  void tell(sampling::CaseBatch& batch, std::size_t fill, std::size_t n,
            estimate::BlendColumns& out) const;
  void stop_by_hand(const sampling::CaseBatch& batch, std::size_t fill, std::size_t n,
                    estimate::BlendColumns& out) const;
  void weigh(const Told& told, sampling::CaseBatch& batch, std::size_t n,
             estimate::BlendColumns& out) const;

  const sampling::CaseInputs& inputs_;
  std::optional<Told> way_;
  std::vector<std::optional<Told>> told_;  ///< one a fill
};

}  // namespace blendrisk::tank
