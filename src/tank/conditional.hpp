#pragma once

#include "estimate/fits_nearby.hpp"
#include "estimate/limit.hpp"
#include "estimate/sample_size.hpp"
#include "tank/condition.hpp"

/// Chances given all inputs but one, as if nothing lay beyond measured values, and their lift to
/// what these bear (measured.hpp). @pre methods_of_outside(inputs, options) does not say crude
namespace blendrisk::tank {

/// What was fitted to the sides' chances, for another look at the same inputs with the same seed.
class FittedSides {
 public:
  FittedSides() = default;
  /// @param nearby  that of other amounts and readings; has to outlive it
  explicit FittedSides(estimate::SidesNearby* nearby) : nearby_(nearby) {}
  estimate::FitsNearby* nearby(estimate::Side side) {
    return nearby_ ? &nearby_->of(side) : nullptr;
  }
  estimate::Fitted& of(estimate::Side side) {
    return side == estimate::Side::below ? below_ : above_;
  }

 private:
  estimate::SidesNearby* nearby_ = nullptr;
  estimate::Fitted below_, above_;
};

/// The chance of one side, given what is known.
estimate::MeanResult side_of(const sampling::CaseInputs& inputs, const Condition& condition,
                             const std::optional<estimate::Known>& known,
                             const estimate::Limit& limit, const estimate::Options& options,
                             estimate::Workspace& workspace, const estimate::Progress& progress,
                             FittedSides* fitted = nullptr);

/// Every chance of an answer, with the landed content.
/// @param fitted  for the next look, if there is one
estimate::ChanceResult unlifted_chance(const sampling::CaseInputs& inputs,
                                       const estimate::Options& options,
                                       const estimate::Progress& progress,
                                       FittedSides* fitted = nullptr);
/// @return estimate::lift's
double lift_chances(const sampling::CaseInputs& inputs, const estimate::Options& options,
                    estimate::ChanceResult& told);

/// The same without running dry and clicking off early.
estimate::ChanceResult unlifted_landing(const sampling::CaseInputs& inputs,
                                        const estimate::Options& options,
                                        FittedSides* fitted = nullptr);
/// @return estimate::lift's
double lift_landing(const sampling::CaseInputs& inputs, const estimate::Options& options,
                    estimate::ChanceResult& told);

/// Of landing outside alone: the lesser side only so well as the sum is told to the precision.
estimate::ChanceResult unlifted_outside(const sampling::CaseInputs& inputs,
                                        const estimate::Options& options,
                                        FittedSides* fitted = nullptr);
/// @return estimate::lift's
double lift_outside(const sampling::CaseInputs& inputs, const estimate::Options& options,
                    estimate::ChanceResult& told);

/// Of running dry alone, on at most 2¹⁴ points a round.
estimate::Result unlifted_dry(const sampling::CaseInputs& inputs, const estimate::Options& options);
void lift_dry(const sampling::CaseInputs& inputs, const estimate::Options& options,
              estimate::Result& told);

}  // namespace blendrisk::tank
