#pragma once

#include <optional>

#include "estimate/replicates.hpp"
#include "estimate/result.hpp"

/// The chances that are averaged, each given all inputs but one.
namespace blendrisk::estimate {

/// Landing below (or above) a limit, given all but the conditioned content.
class OutsideLimit : public Integrand {
 public:
  /// `landing` has to outlive this. Where it conditions on nothing: 0 or 1.
  OutsideLimit(const Landing& landing, Side side, double limit);
  void evaluate(const sampling::CaseBatch& batch, LandingColumns& columns, std::span<double> f,
                std::span<double> nearness) const override;

 private:
  const Landing& landing_;
  std::optional<ConditionedLaw> law_;
  Side side_;
  double limit_;
};

/// The nozzle clicking off before the last, metered fill is done: given all but `inner`, the gauge's
/// error (single fill) or the last meter error, or all (0 or 1).
class ClicksOffEarly : public Integrand {
 public:
  explicit ClicksOffEarly(const sampling::CaseInputs& inputs);
  /// The uncertain volumes that have to be drawn.
  const std::vector<std::size_t>& slots() const { return slots_; }
  void evaluate(const sampling::CaseBatch& batch, LandingColumns& columns, std::span<double> f,
                std::span<double> nearness) const override;

 private:
  Landing volumes_;
  std::size_t inner_;
  std::vector<std::size_t> slots_;
};

/// The heel being below the pickup floor before a later fill though not before the first, given
/// all but what is burned before the last fill.
class RunsDryLater : public Integrand {
 public:
  explicit RunsDryLater(const sampling::CaseInputs& inputs);
  const std::vector<std::size_t>& slots() const { return slots_; }
  void evaluate(const sampling::CaseBatch& batch, LandingColumns& columns, std::span<double> f,
                std::span<double> nearness) const override;

 private:
  Landing volumes_;
  std::size_t inner_;
  std::vector<std::size_t> slots_;
};

/// P(heel below the pickup floor before the first fill): in closed form.
double chance_dry_at_first(const sampling::CaseInputs& inputs);

}  // namespace blendrisk::estimate
