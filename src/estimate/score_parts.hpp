#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "estimate/randomised_qmc.hpp"
#include "sampling/random_streams.hpp"

namespace blendrisk::estimate {

/// A part of a mixture while it is fitted. Shares add up to 1.
struct Shared {
  sampling::Component component;
  double share;
};

/// Points by their scores, what the integrand says of them, and their weights.
struct Cloud {
  Cloud(std::size_t inputs, std::size_t points)
      : scores(inputs, points), log_ratio(points), f(points), limit_state(points), weight(points) {}

  /// Scores of a part, by set `number` of a stream's scrambled points; log_ratio is left.
  void draw(const sampling::Component& part, const sampling::Stream& stream, std::uint64_t number);

  /// f and limit_state from the scores.
  void evaluate(const Problem& problem, Workspace& workspace);

  sampling::Scores scores;
  /// ln of the density that the points were drawn from over that of the inputs' own law.
  std::vector<double> log_ratio;
  std::vector<double> f, limit_state, weight;
};

/// ln(Σ share · density of the part / own density) at every point.
void log_ratio_of(std::span<const Shared> parts, const sampling::Scores& scores,
                  std::span<double> log_ratio);

/// Of all scores.
struct Matched {
  double moved = 0.0;   ///< the farthest that a mean moved
  double widest = 0.0;  ///< the largest sd
};

/// Gives a part the mean and sd (0.8 to 1) of each score of weighted points.
/// @param last  scores whose mean may be chance are left as the inputs' own law has them
Matched match(std::span<const double> weight, const sampling::Scores& scores, bool last,
              sampling::Component& to);

}  // namespace blendrisk::estimate
