#pragma once

#include <array>
#include <memory>
#include <vector>

#include "estimate/condition.hpp"

namespace blendrisk::estimate {

/// The chance of landing outside the limits as a function of amounts and readings of the scenario,
/// on common points: the same scrambling and, once fitted, the same lean for every value, so that
/// the function is smooth and deterministic and can be solved.
class CommonPoints {
 public:
  /// @param log2_points of each of 16 replicates, see Size
  CommonPoints(scenario::Scenario scenario, std::uint64_t seed, unsigned log2_points);
  CommonPoints(const CommonPoints&) = delete;
  CommonPoints& operator=(const CommonPoints&) = delete;
  ~CommonPoints() = default;

  /// To vary: amounts of fills that have one, heel.indicated and indicated readings of later
  /// fills. Anything else, and an amount that the scenario did not have, needs other points.
  scenario::Scenario& scenario() { return scenario_; }

  /// From now on 2^log2_points in each replicate.
  void resize(unsigned log2_points) { size_.log2_points = log2_points; }

  /// Fits the leans to the scenario as it stands.
  void fit();

  /// The chances of landing below and above the limits at the scenario as it stands; 0 where there
  /// is no such limit. @throws ImpossibleScenario
  std::array<double, 2> sides();

  /// Their sum, in [0, 1].
  double outside();

  std::uint64_t evaluations() const { return evaluations_; }

 private:
  struct OneSide {
    Side side;
    std::unique_ptr<Integrand> integrand;
    Problem problem;
    Mixture mixture;
  };

  scenario::Scenario scenario_;
  sampling::CaseInputs inputs_;
  Workspace workspace_;
  std::vector<OneSide> sides_;
  Size size_;
  std::uint64_t evaluations_ = 0;
};

}  // namespace blendrisk::estimate
