#pragma once

#include <optional>

#include "estimate/fits_nearby.hpp"

namespace blendrisk::estimate {

/// The mean of an integrand on common points: the same scrambling and, once fitted, the same tilt
/// whatever its numbers are, so that it is a smooth and deterministic function of them, which can
/// be solved.
class CommonPoints {
 public:
  explicit CommonPoints(Problem problem) : problem_(std::move(problem)) {}

  /// Fits the tilt to the integrand as it stands; a mixture that still serves it is kept.
  void fit(Workspace& workspace);
  /// On about as many points as size says, whatever the parts of the mixture. In one thread they
  /// are drawn once for all looks at them.
  MeanOfReplicates mean(const Size& size, unsigned threads, Workspace& workspace);
  /// On points of the inputs' own law, whatever was fitted.
  MeanOfReplicates own_mean(const Size& size, Workspace& workspace);
  /// On those of the mixture that was fitted, wherever that was; none where there is none, or too
  /// few points carry the sum.
  std::optional<MeanOfReplicates> kept_mean(const Size& size, Workspace& workspace);
  std::uint64_t evaluations() const { return evaluations_; }
  /// How many mixtures there have been; as long as it is the same, so are the points of mean().
  std::uint64_t mixtures() const { return mixtures_; }

 private:
  MeanOfReplicates told(const Round& round) const;
  Round round(bool own, const Size& size, unsigned threads, Workspace& workspace);
  const DrawnRound& drawn(bool own, const Size& size, Workspace& workspace);

  Problem problem_;
  Mixture mixture_;
  const NearbyFit* nearby_ = nullptr;  ///< the mixture among problem_.nearby
  DrawnRounds own_, mixed_;            ///< points of the own law and of the mixture
  std::uint64_t mixtures_ = 0;
  std::uint64_t evaluations_ = 0;
};

}  // namespace blendrisk::estimate
