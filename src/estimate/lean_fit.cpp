#include "estimate/lean_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "numeric/arrays.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

constexpr std::size_t kPilot = 64;
constexpr std::size_t kElite = kPilot / 8;
constexpr int kRounds = 8;
/// Fewer points than this share carrying the sum are too few to take a mean of.
constexpr double kLeastShare = 0.2;
/// Below this share the leaned points do not serve.
constexpr double kFailed = 0.03;
/// A tilt or a shift this small is none.
constexpr double kNegligible = 0.02;
constexpr double kNone = -1e300;

/// The pilot points: base uniforms once, coordinates and log weights every round.
class Pilot {
 public:
  Pilot(const Problem& problem, Workspace& space)
      : problem_(problem), space_(space), base_(kPilot * problem.slots.size()), coordinates_(base_) {
    const std::uint64_t key =
        sampling::stream_key({problem.seed, static_cast<std::uint64_t>(problem.purpose),
                              static_cast<std::uint64_t>(sampling::Purpose::lean)});
    for (std::size_t d = 0; d < problem.slots.size(); ++d) {
      sampling::scrambled_sobol(0, d, key ^ sampling::mixed(d), row(base_, d));
    }
  }

  /// ln(f own/leaned density) of each point under a lean, kNone where f = 0.
  /// @return whether f is positive anywhere
  bool evaluate(const sampling::Strengths& strengths) {
    coordinates_ = base_;
    std::fill_n(space_.leaned.begin(), kPilot, 1.0);
    std::fill_n(space_.log_ratio.begin(), kPilot, 0.0);
    for (std::size_t d = 0; d < problem_.slots.size(); ++d) {
      sampling::draw_input(*problem_.inputs, problem_.slots[d], row(coordinates_, d),
                           {space_.leaned.data(), kPilot}, strengths[d],
                           {space_.log_ratio.data(), kPilot}, space_.batch);
    }
    problem_.integrand->evaluate(space_.batch, space_.columns, {space_.f.data(), kPilot},
                                 {space_.nearness.data(), kPilot});
    bool positive = false;
    for (std::size_t i = 0; i < kPilot; ++i) {
      const bool hit = space_.f[i] > 1e-300;
      positive |= hit;
      log_weight_[i] = hit ? std::log(space_.f[i]) - space_.log_ratio[i] : kNone;
    }
    return positive;
  }

  /// weight_ ∝ exp(power · log weight), the largest 1. @return their effective share
  double take_power(double power) {
    const double most = *std::max_element(log_weight_.begin(), log_weight_.end());
    for (std::size_t i = 0; i < kPilot; ++i) weight_[i] = power * (log_weight_[i] - most);
    numeric::exp(weight_, weight_);
    double sum = 0.0;
    double squares = 0.0;
    for (const double w : weight_) {
      sum += w;
      squares += w * w;
    }
    return sum * sum / squares / static_cast<double>(kPilot);
  }

  /// weight_ = 1 at the points nearest to the event.
  void take_elite() {
    std::array<std::size_t, kPilot> order{};
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::partial_sort(order.begin(), order.begin() + kElite, order.end(),
                      [this](std::size_t a, std::size_t b) {
                        const double x = space_.nearness[a];
                        const double y = space_.nearness[b];
                        return x > y || (x == y && a < b);
                      });
    weight_.fill(0.0);
    for (std::size_t i = 0; i < kElite; ++i) weight_[order[i]] = 1.0;
  }

  /// The tilts that give each coordinate its weighted mean.
  sampling::Strengths matched() {
    sampling::Strengths strengths(problem_.slots.size());
    double sum = 0.0;
    for (const double w : weight_) sum += w;
    for (std::size_t d = 0; d < strengths.size(); ++d) {
      const std::span<const double> x = row(coordinates_, d);
      double mean = 0.0;
      for (std::size_t i = 0; i < kPilot; ++i) mean += weight_[i] * x[i];
      mean /= sum;
      const auto kind =
          sampling::coordinate_of((*problem_.inputs)[problem_.slots[d]].law);
      const double strength =
          kind == sampling::Coordinate::uniform ? sampling::tilt_with_mean(mean) : mean;
      strengths[d] = std::abs(strength) < kNegligible ? 0.0 : strength;
    }
    return strengths;
  }

 private:
  static std::span<double> row(std::vector<double>& values, std::size_t d) {
    return {values.data() + d * kPilot, kPilot};
  }

  const Problem& problem_;
  Workspace& space_;
  std::vector<double> base_, coordinates_;
  std::array<double, kPilot> log_weight_{}, weight_{};
};

bool nearly_same(const sampling::Strengths& a, const sampling::Strengths& b) {
  for (std::size_t d = 0; d < a.size(); ++d) {
    if (std::abs(a[d] - b[d]) > 0.1 + 0.1 * std::abs(b[d])) return false;
  }
  return true;
}

}  // namespace

Fit fit_lean(const Problem& problem, Workspace& workspace) {
  Pilot pilot(problem, workspace);
  Fit fit;
  sampling::Strengths strengths(problem.slots.size(), 0.0);
  sampling::Strengths best;
  double best_share = kFailed;
  for (int round = 0; round < kRounds; ++round) {
    const bool positive = pilot.evaluate(strengths);
    fit.evaluations += kPilot;
    double share = 0.0;
    if (positive) {
      share = pilot.take_power(1.0);
      if (share > best_share) {
        best_share = share;
        best = strengths;
      }
      double power = 1.0;
      double kept = share;
      while (kept < kLeastShare && power > 1e-3) {
        power *= 0.6;
        kept = pilot.take_power(power);
      }
    } else {
      pilot.take_elite();
    }
    const sampling::Strengths next = pilot.matched();
    if (positive && share >= kLeastShare && nearly_same(next, strengths)) break;
    strengths = next;
  }
  fit.strengths = best;
  return fit;
}

}  // namespace blendrisk::estimate
