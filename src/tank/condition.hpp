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
                                                   const Condition& condition,
                                                   const estimate::Limit& limit);

/// Its problem: what is left to draw, under the name of the side. Problem::known is the caller's.
estimate::Problem outside_problem(const sampling::CaseInputs& inputs, const Condition& condition,
                                  const estimate::Limit& limit,
                                  const estimate::Integrand& integrand, std::uint64_t seed);

/// How the chance of landing outside a limit is estimated: cases are counted where that is asked
/// for or there is nothing to condition on.
estimate::Methods methods_of_outside(const sampling::CaseInputs& inputs,
                                     const estimate::Options& options);

/// How what depends on the last content is estimated on points, given all inputs but `conditioned`.
estimate::Methods methods_on_points(const sampling::CaseInputs& inputs,
                                    const std::optional<std::size_t>& conditioned);

}  // namespace blendrisk::tank
