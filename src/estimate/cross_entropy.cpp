#include "estimate/cross_entropy.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "estimate/fits_nearby.hpp"
#include "estimate/mixture_fit.hpp"
#include "estimate/weights.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

/// Points of the pilot, and of a second one where the first was too small to settle.
constexpr std::size_t k_pilot_points = 64;
constexpr std::size_t k_second_pilot = 512;
constexpr std::size_t k_elite_share = 8;
constexpr int k_rounds = 8;
/// Fewer points than this share carrying the sum are too few to take a mean of.
constexpr double k_least_share = 0.2;
/// Below this share the tilted points do not serve.
constexpr double k_failed = 0.02;
constexpr double k_none = -1e300;

/// The pilot points: base uniforms once, coordinates and log weights every round.
class Pilot {
 public:
  Pilot(const Problem& problem, Workspace& space, std::size_t points)
      : problem_(problem),
        space_(space),
        points_(points),
        base_(points * problem.size()),
        coordinates_(base_),
        log_weight_(points),
        weight_(points),
        tilted_(points, 1.0) {
    const sampling::Stream stream(problem.seed, problem.purpose, sampling::Purpose::tilt);
    for (std::size_t d = 0; d < problem.size(); ++d) {
      sampling::scrambled_sobol(0, d, stream.of_dimension(3 * d), row(base_, d));
    }
  }

  /// ln(f own/mixture density) of each point under a tilt, k_none where f = 0.
  /// @return whether f is positive at enough of them to take a mean
  bool evaluate(const sampling::Strengths& strengths) {
    coordinates_ = base_;
    const std::span<double> log_ratio(space_.log_ratio.data(), points_);
    std::fill(log_ratio.begin(), log_ratio.end(), 0.0);
    const auto draws_of = [&](std::size_t d) {
      return sampling::Draws{row(coordinates_, d), tilted_, log_ratio};
    };
    problem_.sampler.draw_tilted(strengths, draws_of, space_.batch);
    problem_.integrand->evaluate(space_.batch, space_.columns, {space_.f.data(), points_},
                                 {space_.limit_state.data(), points_});
    numeric::exp(log_ratio, log_ratio);
    std::size_t positive = 0;
    for (std::size_t i = 0; i < points_; ++i) {
      const bool hit = space_.f[i] > 1e-300;
      positive += hit ? 1 : 0;
      log_weight_[i] = hit ? std::log(space_.f[i]) - std::log(log_ratio[i]) : k_none;
    }
    return positive * k_elite_share >= points_;
  }

  /// weight_ ∝ exp(power · log weight), the largest 1. @return their effective share
  double take_power(double power) {
    const double most = *std::max_element(log_weight_.begin(), log_weight_.end());
    for (std::size_t i = 0; i < points_; ++i) weight_[i] = power * (log_weight_[i] - most);
    numeric::exp(weight_, weight_);
    return mass_of(weight_).effective() / static_cast<double>(points_);
  }

  /// weight_ = 1 at the points nearest to the event.
  void take_elite() {
    std::fill(weight_.begin(), weight_.end(), 0.0);
    for (const std::size_t i :
         nearest({space_.limit_state.data(), points_}, points_ / k_elite_share)) {
      weight_[i] = 1.0;
    }
  }

  /// The tilts that give each coordinate its weighted mean, none where that mean may be chance. The
  /// mean of a uniform is drawn to the middle by one point's worth, so that few points near an end
  /// do not tilt it all the way there.
  sampling::Strengths matched() {
    sampling::Strengths strengths(problem_.size());
    const Mass mass = mass_of(weight_);
    const double effective = mass.effective();
    for (std::size_t d = 0; d < strengths.size(); ++d) {
      const bool uniform = problem_.sampler.coordinate(d) == sampling::Coordinate::uniform;
      const std::span<const double> x = row(coordinates_, d);
      double first = 0.0;
      double second = 0.0;
      for (std::size_t i = 0; i < points_; ++i) {
        first += weight_[i] * x[i];
        second += weight_[i] * x[i] * x[i];
      }
      const double mean = first / mass.sum;
      const double error = std::sqrt(std::max(0.0, second / mass.sum - mean * mean) / effective);
      if (std::abs(mean - (uniform ? 0.5 : 0.0)) < error) continue;
      strengths[d] =
          uniform ? sampling::tilt_with_mean((mean * effective + 0.5) / (effective + 1.0)) : mean;
    }
    return strengths;
  }

 private:
  std::span<double> row(std::vector<double>& values, std::size_t d) const {
    return {values.data() + d * points_, points_};
  }

  const Problem& problem_;
  Workspace& space_;
  std::size_t points_;
  std::vector<double> base_, coordinates_, log_weight_, weight_, tilted_;
};

bool nearly_same(const sampling::Strengths& a, const sampling::Strengths& b) {
  for (std::size_t d = 0; d < a.size(); ++d) {
    if (std::abs(a[d] - b[d]) > 0.1 + 0.1 * std::abs(b[d])) return false;
  }
  return true;
}

/// @return whether it settled; adds its evaluations
bool fit_with(const Problem& problem, Workspace& workspace, std::size_t points, Fit& fit) {
  Pilot pilot(problem, workspace, points);
  sampling::Strengths strengths(problem.size(), 0.0);
  double best_share = k_failed;
  fit.mixture.strengths.clear();
  for (int round = 0; round < k_rounds; ++round) {
    const bool enough = pilot.evaluate(strengths);
    fit.evaluations += points;
    if (!enough) {
      pilot.take_elite();
      strengths = pilot.matched();
      continue;
    }
    const double share = pilot.take_power(1.0);
    if (share > best_share) {
      best_share = share;
      fit.mixture.strengths = strengths;
    }
    double kept = share;
    for (double power = 0.6; kept < k_least_share && power > 1e-3; power *= 0.6) {
      kept = pilot.take_power(power);
    }
    const sampling::Strengths next = pilot.matched();
    if (share >= k_least_share && nearly_same(next, strengths)) return true;
    strengths = next;
  }
  return best_share >= k_least_share;
}

}  // namespace

Fit fit_importance(const Problem& problem, Workspace& workspace) {
  Fit fit;
  if (problem.inputs().log_concave() && (fit_with(problem, workspace, k_pilot_points, fit) ||
                                         fit_with(problem, workspace, k_second_pilot, fit))) {
    return fit;
  }
  if (problem.nearby) {
    if (auto nearby = problem.nearby->serving(problem, workspace, fit.evaluations)) {
      return {std::move(nearby->mixture), fit.evaluations, nearby->from, true};
    }
  }
  Fit mixed = fit_mixture(problem, workspace);
  if (problem.nearby) mixed.nearby = problem.nearby->add(problem, mixed.mixture);
  mixed.evaluations += fit.evaluations;
  return mixed.mixture.parts.empty() ? fit : mixed;
}

}  // namespace blendrisk::estimate
