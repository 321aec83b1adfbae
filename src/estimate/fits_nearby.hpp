#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "estimate/randomised_qmc.hpp"
#include "estimate/result.hpp"

namespace blendrisk::estimate {

/// Whether a mixture that was fitted to another problem serves this one: a rare chance, the sum
/// carried by a fifth of a few points. Points under it are weighed by its density, so that they are
/// without bias whatever it was fitted to; what it may cost is error, which is told.
/// @param evaluations  is added to
bool serves(const Problem& problem, const Mixture& mixture, Workspace& workspace,
            std::uint64_t& evaluations);

/// Rounds that were drawn.
using DrawnRounds = std::vector<std::shared_ptr<const DrawnRound>>;

/// A mixture with what it was fitted to.
struct NearbyFit {
  std::vector<std::size_t> slots;  ///< of what was drawn
  std::vector<double> numbers;     ///< amounts and readings, as shares of the tank
  Mixture mixture;
};

/// Mixtures that were fitted to problems like one at hand, at other amounts and readings or before
/// one of the inputs was known, and points that were drawn under them and under the own law.
class FitsNearby {
 public:
  /// One that serves, for the inputs at hand.
  struct Serving {
    Mixture mixture;
    const NearbyFit* from = nullptr;
  };

  FitsNearby() = default;
  /// Goes on from others. @param before  has to outlive it, unchanged
  explicit FitsNearby(const FitsNearby* before) : before_(before) {}

  /// Keeps a mixture of parts with what it was fitted to; others are cheap to fit. @return none
  /// of one that was not kept
  const NearbyFit* add(const Problem& problem, const Mixture& mixture);

  /// That of the nearest amounts and readings, or else of the next, where it serves. Never where
  /// there are none to go on from: those are only kept.
  std::optional<Serving> serving(const Problem& problem, Workspace& workspace,
                                 std::uint64_t& evaluations) const;

  /// A round that serves the problem, or none.
  /// @param under  the fit that it is under, none: the own law
  std::shared_ptr<const DrawnRound> round(const Problem& problem, const NearbyFit* under,
                                          const Size& size, std::uint64_t number) const;
  /// One that is kept, or else drawn, and kept where there is room.
  /// @param under  the mixture's fit, none: it is the own law
  std::shared_ptr<const DrawnRound> drawn(const Problem& problem, const Mixture& mixture,
                                          const NearbyFit* under, const Size& size,
                                          std::uint64_t number, Workspace& workspace);
  /// Keeps one, where there is room.
  void keep(const std::shared_ptr<const DrawnRound>& round, const NearbyFit* under);

 private:
  const FitsNearby* before_ = nullptr;
  std::deque<NearbyFit> fits_;  // stay where they are
  std::map<const NearbyFit*, DrawnRounds> rounds_;
  std::size_t kept_values_ = 0;
};

/// Of some rounds, one of this size and number that serves the problem, or none.
std::shared_ptr<const DrawnRound> round_among(const DrawnRounds& rounds, const Problem& problem,
                                              const Size& size, std::uint64_t number);

/// Those of either side's chance.
struct SidesNearby {
  SidesNearby() = default;
  explicit SidesNearby(const SidesNearby* before) : below(&before->below), above(&before->above) {}
  FitsNearby& of(Side side) { return side == Side::below ? below : above; }

  FitsNearby below, above;
};

}  // namespace blendrisk::estimate
