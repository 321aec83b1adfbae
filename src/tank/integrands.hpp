#pragma once

#include <optional>

#include "estimate/limit.hpp"
#include "estimate/randomised_qmc.hpp"
#include "tank/linear_blend.hpp"

/// The chances that are averaged, each given all inputs but one. Where fills are done, of the event
/// and of what the dispenser showed: divided by that of Shown alone it is the chance given that.
namespace blendrisk::tank {

/// The chance of a + b x outside a limit from the columns a and b, x the conditioned content.
class Exceedance {
 public:
  /// Where `landing` conditions on nothing: 0 or 1.
  Exceedance(const LinearBlend& landing, const estimate::Limit& limit);
  /// f and nearness of Integrand::evaluate.
  void evaluate(sampling::CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                std::span<double> limit_state) const;

 private:
  std::optional<ConditionedContent> law_;
  estimate::Limit limit_;
  bool weighted_;
};

/// What the dispenser showed, as it was shown: the chance that the others are divided by.
class Shown : public estimate::Integrand {
 public:
  explicit Shown(const LinearBlend& landing) : landing_(landing) {}
  void evaluate(sampling::CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                std::span<double> limit_state) const override;

 private:
  LinearBlend landing_;
};

/// Landing below (or above) a limit, given all but the conditioned content.
class OutsideLimit : public estimate::Integrand {
 public:
  OutsideLimit(const LinearBlend& landing, const estimate::Limit& limit)
      : landing_(landing), outside_(landing, limit) {}
  void evaluate(sampling::CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                std::span<double> limit_state) const override {
    landing_.evaluate(batch, f.size(), columns);
    outside_.evaluate(batch, columns, f, limit_state);
  }

 private:
  LinearBlend landing_;
  Exceedance outside_;
};

/// The same for a single fill, given all but the gauge's error, where no content is uncertain. The
/// landed content rises or falls with the heel in at most three pieces (metered; to click-off; to
/// click-off with the hose's fuel alone), on each of which the limit is crossed once.
class OutsideLimitByGauge : public estimate::Integrand {
 public:
  OutsideLimitByGauge(const sampling::CaseInputs& inputs, const estimate::Limit& limit);
  void evaluate(sampling::CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                std::span<double> limit_state) const override;

 private:
  double chance(const sampling::CaseBatch& batch, double hose, double indicated,
                std::size_t i) const;
  double heel_mass(double low, double high, double click_off, double indicated,
                   double centre) const;

  const sampling::CaseInputs& inputs_;
  sampling::ConditionalLaw gauge_;
  estimate::Limit limit_;
};

/// The nozzle clicking off before the last, metered fill is done: given all but `inner`, the
/// gauge's error (single fill) or the last meter error, or all (0 or 1).
class ClicksOffEarly : public estimate::Integrand {
 public:
  explicit ClicksOffEarly(const sampling::CaseInputs& inputs);
  /// The uncertain volumes that have to be drawn.
  const std::vector<std::size_t>& slots() const { return slots_; }
  void evaluate(sampling::CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                std::span<double> limit_state) const override;

 private:
  std::size_t inner_;
  std::vector<std::size_t> slots_;
  LinearBlend volumes_;
  std::optional<sampling::ConditionalLaw> given_;
};

/// The heel being below the pickup floor before some fill after driving, given all but what is
/// burned before the last of these, or the gauge's error where that is the way to the pump.
class RunsDryLater : public estimate::Integrand {
 public:
  /// @param at_first_too  before the first fill counts as well
  explicit RunsDryLater(const sampling::CaseInputs& inputs, bool at_first_too = false);
  /// None where there is no such fill.
  const std::vector<std::size_t>& slots() const { return slots_; }
  void evaluate(sampling::CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                std::span<double> limit_state) const override;

 private:
  void dry_by_gauge(const sampling::CaseBatch& batch, estimate::BlendColumns& columns,
                    std::span<double> f, std::span<double> limit_state) const;

  std::size_t last_;
  bool at_first_too_;
  std::size_t inner_;
  std::vector<std::size_t> slots_;
  LinearBlend volumes_;
  std::optional<sampling::ConditionalLaw> given_;
};

/// The last fill that comes after driving, none where there is none.
std::optional<std::size_t> last_driven(const scenario::Scenario& scenario);

/// P(running dry before the first fill, or before a later one that goes by the gauge): their gauge
/// has the same error, so the lowest reading decides.
double chance_dry_by_gauge(const scenario::Scenario& scenario);

/// Whether the gauge's error or the click-off is correlated with anything. Where not, and only
/// then, there is:
bool dry_is_correlated(const sampling::CaseInputs& inputs);

/// The scenario given that this does not happen: the laws of the gauge's error and of the click-off
/// cut accordingly. The chance of it has to be below 1.
scenario::Scenario not_dry_by_gauge(scenario::Scenario scenario);

}  // namespace blendrisk::tank
