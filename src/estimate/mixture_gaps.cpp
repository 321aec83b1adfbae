#include "estimate/mixture_gaps.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "estimate/weights.hpp"
#include "models/infinity.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::Component;

/// A point that weighs more than so many means lies in a gap.
constexpr double k_gap = 30.0;
/// What the mixture covers: up to so many means.
constexpr double k_covered = 15.0;
constexpr unsigned k_most_gaps = 3;
constexpr std::size_t k_look_points = 256;
/// Steps of a new part toward what is not covered.
constexpr unsigned k_gap_steps = 3;
constexpr double k_gap_share = 0.06;
/// Points that have to carry what is not covered; with fewer their weights are flattened.
constexpr double k_carry_gap = 8.0;
constexpr unsigned k_roots = 5;

class Gaps {
 public:
  Gaps(const Problem& problem, Workspace& workspace, double mean, std::span<const Cloud> seen,
       std::vector<Shared>& parts)
      : problem_(problem), space_(workspace), seen_(seen), parts_(parts), mean_(mean) {}

  std::uint64_t fill() {
    if (!(mean_ > 0.0)) return 0;
    for (unsigned gap = 0; gap < k_most_gaps; ++gap) {
      std::optional<Component> part = likeliest();
      if (!part) break;
      shrink(*part);
      for (unsigned step = 0; step < k_gap_steps; ++step) {
        if (!move(*part, gap * k_gap_steps + step)) return evaluations_;
      }
      for (Shared& one : parts_) one.share *= 1.0 - k_gap_share;
      parts_.push_back({std::move(*part), k_gap_share});
    }
    return evaluations_;
  }

 private:
  /// About the likeliest of the points that lie in a gap.
  std::optional<Component> likeliest() const {
    double most = -k_infinity;
    std::optional<Component> at;
    std::vector<double> log_ratio;
    for (const Cloud& cloud : seen_) {
      log_ratio.resize(cloud.f.size());
      log_ratio_of(parts_, cloud.scores, log_ratio);
      for (std::size_t i = 0; i < cloud.f.size(); ++i) {
        if (!(cloud.f[i] * std::exp(-log_ratio[i]) > k_gap * mean_)) continue;
        double log_density = std::log(cloud.f[i]);
        for (std::size_t d = 0; d < problem_.size(); ++d) {
          log_density -= 0.5 * cloud.scores.row(d)[i] * cloud.scores.row(d)[i];
        }
        if (log_density <= most) continue;
        most = log_density;
        at = sampling::own_component(problem_.size());
        for (std::size_t d = 0; d < problem_.size(); ++d) at->mean[d] = cloud.scores.row(d)[i];
      }
    }
    return at;
  }

  /// Scores that the event does not need go back to 0.
  void shrink(Component& part) {
    const std::size_t inputs = problem_.size();
    Cloud without(inputs, inputs + 1);
    for (std::size_t d = 0; d < inputs; ++d) {
      std::fill(without.scores.row(d).begin(), without.scores.row(d).end(), part.mean[d]);
      without.scores.row(d)[d] = 0.0;
    }
    look(without);
    uncover(without);
    for (std::size_t d = 0; d < inputs; ++d) {
      const double gains = std::exp(0.5 * part.mean[d] * part.mean[d]);
      if (without.weight[d] * gains >= without.weight[inputs]) part.mean[d] = 0.0;
    }
  }

  /// To the mean and sd of what is not covered near it. @return whether any is near
  bool move(Component& part, unsigned step) {
    Cloud near(problem_.size(), k_look_points);
    const sampling::Stream stream(problem_.seed, problem_.purpose, sampling::Purpose::gaps);
    near.draw(part, stream, step);
    look(near);
    sampling::log_ratio_of(part, near.scores, near.log_ratio);
    uncover(near);
    for (std::size_t i = 0; i < near.f.size(); ++i) near.weight[i] *= std::exp(-near.log_ratio[i]);
    if (!(numeric::sum(near.weight) > 0.0)) return false;
    for (unsigned i = 0; i < k_roots && mass_of(near.weight).effective() < k_carry_gap; ++i) {
      const double most = *std::max_element(near.weight.begin(), near.weight.end());
      for (double& weight : near.weight) weight = std::sqrt(weight / most);
    }
    match(near.weight, near.scores, true, part);
    return true;
  }

  /// Weights to what the mixture does not cover of f.
  void uncover(Cloud& cloud) const {
    log_ratio_of(parts_, cloud.scores, cloud.weight);
    for (std::size_t i = 0; i < cloud.f.size(); ++i) {
      cloud.weight[i] = std::max(0.0, cloud.f[i] - k_covered * mean_ * std::exp(cloud.weight[i]));
    }
  }

  void look(Cloud& cloud) {
    cloud.evaluate(problem_, space_);
    evaluations_ += cloud.f.size();
  }

  const Problem& problem_;
  Workspace& space_;
  std::span<const Cloud> seen_;
  std::vector<Shared>& parts_;
  double mean_;
  std::uint64_t evaluations_ = 0;
};

}  // namespace

std::uint64_t fill_gaps(const Problem& problem, Workspace& workspace, double mean,
                        std::span<const Cloud> seen, std::vector<Shared>& parts) {
  return Gaps(problem, workspace, mean, seen, parts).fill();
}

}  // namespace blendrisk::estimate
