#pragma once

#include <optional>
#include <vector>

#include "models/prepared_chain.hpp"
#include "models/sensor.hpp"
#include "tank/integrands.hpp"

/// The line and the sensor of one case, from the inputs of Scope::line.
namespace blendrisk::line {

/// How a moment after the fill is named.
struct Moment {
  enum class By { burned, time };
  By by = By::burned;
  double value = 0.0;  ///< litres burned, or seconds; >= 0
};

/// One case. Reused from case to case: its storage stays.
struct LineCase {
  models::Chain to_sensor, to_injectors;
  double return_l_per_s = 0.0;
  std::vector<models::RatePhase> burned;   ///< empty where the scenario has no rates
  std::vector<models::RatePhase> through;  ///< with the return flow; what the chains see

  /// All fuel of the line [L].
  double volume_l() const { return models::residence_mean(to_injectors); }

  /// Volume that has passed the chains by a moment [L], and back. Without return flow it is what
  /// was burned; by time it needs rates.
  double passed(const Moment& moment) const;
  double burned_once_passed(double q_l) const;
  /// Infinite where it never is. Needs rates.
  double time_once_passed(double q_l) const;

  /// The tank once the line's old fuel has come back to it, (W c + V old)/(W + V); c itself without
  /// return flow.
  double settled(double landed, double total_l, double old) const;
};

/// The tank once the line's old fuel has come back to it; see LineCase::settled.
double settled_content(double landed, double total_l, double old, double return_l_per_s,
                       double volume_l);

models::Pipe pipe_of(scenario::PipeFlow flow);

/// Whether the scenario gives the line any volume.
bool has_volume(const scenario::Line& line);

/// @throws ImpossibleScenario where it gives none
void require_volume(const scenario::Line& line);

/// Makes cases.
class Line {
 public:
  /// @param inputs of Scope::line; has to outlive this
  /// @throws ImpossibleScenario where the sensor's lag or a return flow needs a rate of the engine
  /// that the scenario does not give
  explicit Line(const sampling::CaseInputs& inputs);

  const sampling::CaseInputs& inputs() const { return *inputs_; }
  /// Whether time can be told: every load of the schedule has its rate.
  bool has_rates() const { return has_rates_; }

  /// Case i of the batch.
  void load(const sampling::CaseBatch& batch, std::size_t i, LineCase& out) const;
  /// What its line holds before the fill.
  double old_content(const sampling::CaseBatch& batch, std::size_t i) const;
  double bias(const sampling::CaseBatch& batch, std::size_t i) const;

  /// The case with every input at its median.
  LineCase typical() const;

 private:
  const sampling::CaseInputs* inputs_;
  bool has_rates_ = true;
};

/// The rail being below (or above) the limit once a volume has passed, given all but the
/// conditioned content. The rail holds old (1 − F) + F (a + b x), again a line in the conditioned
/// content x, so that the chance is that of landing outside with other a and b, and tends to it as
/// the volume grows.
class RailOutside : public estimate::Integrand {
 public:
  /// @param landing  on inputs of Scope::line
  /// @param moment   may be infinite: all of the line is purged
  RailOutside(const Line& line, const tank::LinearBlend& landing, const estimate::Limit& limit,
              Moment moment);
  void evaluate(sampling::CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                std::span<double> limit_state) const override;

  void set_moment(Moment moment) { moment_ = moment; }

 private:
  const Line& line_;
  tank::LinearBlend landing_;
  tank::Exceedance outside_;
  Moment moment_;
};

}  // namespace blendrisk::line
