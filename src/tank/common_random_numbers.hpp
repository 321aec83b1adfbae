#pragma once

#include <algorithm>
#include <array>
#include <memory>
#include <optional>
#include <vector>

#include "estimate/common_points.hpp"
#include "estimate/fits_nearby.hpp"
#include "estimate/measured.hpp"
#include "sampling/question.hpp"
#include "tank/condition.hpp"

namespace blendrisk::tank {

/// Chances of landing below and above the limits.
struct Sides {
  double below = 0.0, above = 0.0;
  /// The least chance outside that measured inputs bear, see measured.hpp; 0 where there are none.
  double least = 0.0;
  double variance = 0.0;  ///< of below + above

  double outside() const { return std::max(std::clamp(below + above, 0.0, 1.0), least); }
};

/// The chance of landing outside the limits as a function of amounts and readings of the scenario,
/// on common points: the same scrambling and, once fitted, the same tilt for every value, so that
/// the function is smooth and deterministic and can be solved.
class CommonRandomNumbers {
 public:
  /// @param log2_points of each of 16 replicates, see Size
  /// @param nearby      fits of other amounts and readings, if there are any; has to outlive it
  CommonRandomNumbers(scenario::Scenario scenario, std::uint64_t seed, unsigned log2_points,
                      estimate::SidesNearby* nearby = nullptr);
  CommonRandomNumbers(const CommonRandomNumbers&) = delete;
  CommonRandomNumbers& operator=(const CommonRandomNumbers&) = delete;
  ~CommonRandomNumbers() = default;

  /// To vary: amounts of fills that have one, heel.indicated and indicated readings of later
  /// fills. Anything else, and an amount that the scenario did not have, needs other points.
  scenario::Scenario& scenario() { return question_.numbers(); }

  /// From now on 2^log2_points in each replicate.
  void resize(unsigned log2_points) { size_.log2_points = log2_points; }

  /// Fits the tilts to the scenario as it stands.
  void fit();
  /// The same but for the measured inputs' ends, which go on with the points that they have.
  void fit_roughly();

  /// The chances of landing below and above the limits at the scenario as it stands; 0 where there
  /// is no such limit. @throws ImpossibleScenario
  Sides sides();
  /// The same without what measured inputs bear, which costs several times as much.
  Sides own_sides();
  /// These, roughly, from as few points as tell that they are on one side of a risk: of the inputs'
  /// own law, or else of what was fitted last; none where it takes points fitted here. Where what
  /// measured inputs bear is clearly beyond the risk whatever these tell, with that.
  std::optional<Sides> clear_sides(double risk);
  /// Sides::least beside a chance outside of so much.
  double least(double chance);
  /// What that cannot exceed, 0 where there is no measured input.
  double most_least() const;

  /// Of landing outside.
  double outside() { return sides().outside(); }

  std::uint64_t evaluations() const;
  /// As long as it is the same, so are the points of own_sides().
  std::uint64_t mixtures() const;

 private:
  struct OneSide {
    estimate::Side side;
    std::unique_ptr<estimate::Integrand> integrand;
    estimate::CommonPoints points;
  };
  /// A measured input, and the same points with it at either end.
  struct Beyond {
    estimate::MeasuredInput input;
    std::array<std::unique_ptr<CommonRandomNumbers>, 2> at;
  };

  CommonRandomNumbers(scenario::Scenario scenario, std::uint64_t seed, unsigned log2_points,
                      estimate::SidesNearby* nearby, bool beyond_measured);
  /// of(points) of every side: its mean, or none, and so none at all.
  template <class Of>
  std::optional<Sides> sides_of(const Of& of);
  Sides law_sides(const estimate::Size& size);
  /// The chance outside, of an end: by points of the inputs' own law where they tell what it adds
  /// beside a chance, else under a mixture.
  /// @param afresh  whether that is to be found out
  double outside_at_end(double chance, bool afresh);

  sampling::Question question_;
  estimate::Workspace workspace_;
  std::vector<OneSide> sides_;
  std::vector<Beyond> measured_;
  bool ends_fitted_ = true;  ///< since fit() was called; they are only where they are looked at
  bool by_own_law_ = false;  ///< the chance of this end
  estimate::Size size_;
};

}  // namespace blendrisk::tank
