#pragma once

#include <memory>
#include <optional>

#include "tank/integrands.hpp"

/// What a chance of landing outside a limit is conditioned on, and the integrand that follows.
namespace blendrisk::tank {

struct Condition {
  std::optional<std::size_t> content;
  bool gauge = false;  ///< single fill, every content exact

  /// The input's slot, none where there is nothing left to condition on.
  std::optional<std::size_t> slot() const {
    return gauge ? std::optional<std::size_t>(sampling::Slot::gauge_error) : content;
  }
};

/// The content with the largest effect (content_to_condition_on), else the gauge's error.
Condition condition_of(const sampling::CaseInputs& inputs);

/// The chance of landing below (or above) the limit given all inputs but the conditioned one.
/// `inputs` has to outlive it.
std::unique_ptr<estimate::Integrand> outside_limit(const sampling::CaseInputs& inputs,
                                                   const Condition& condition, estimate::Side side,
                                                   double limit);

/// Its problem: what is left to draw, under the name of the side.
estimate::Problem outside_problem(const sampling::CaseInputs& inputs, const Condition& condition,
                                  estimate::Side side, const estimate::Integrand& integrand,
                                  std::uint64_t seed);

}  // namespace blendrisk::tank
