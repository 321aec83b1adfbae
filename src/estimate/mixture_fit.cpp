#include "estimate/mixture_fit.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "estimate/mixture_gaps.hpp"
#include "estimate/score_parts.hpp"
#include "estimate/weights.hpp"
#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::Component;
using sampling::Scores;

constexpr std::size_t k_first_points = 4096;
constexpr std::size_t k_round_points = 512;
constexpr std::size_t k_probe_points = 256;
/// The number of a probe's points among the sets of a fit; those of rounds are below.
constexpr std::uint64_t k_first_probe = 1000;
constexpr unsigned k_least_rounds = 2;
constexpr unsigned k_most_rounds = 8;
/// Of the first points: the share of each score that is wide, and how wide.
constexpr double k_wide_share = 0.45;
constexpr double k_wide = 3.0;
/// Of the points of a round: the inputs' own law.
constexpr double k_own_in_round = 0.15;
/// Points that have to carry the weights, in the first round and later.
constexpr double k_carry_first = 15.0;
constexpr double k_carry = 25.0;
/// With fewer hits the points nearest to the event stand in, this many.
constexpr std::size_t k_fewest_hits = 20;
constexpr std::size_t k_nearest = 32;
constexpr std::size_t k_starts = 6;
constexpr int k_em_steps = 10;
/// Of a mean, in which the parts have settled.
constexpr double k_settled = 0.05;
constexpr double k_least_part = 0.02;
/// Points spread no wider than this in any score are one part's.
constexpr double k_one_part_sd = 1.1;
/// Weights below this share of the largest do not count.
constexpr double k_negligible = 1e-3;
/// Of the final points: the inputs' own law, and one input wide.
constexpr double k_own = 1.0 / 9.0;
constexpr double k_one_wide = 0.2;
constexpr double k_one_wide_sd = 2.5;
constexpr unsigned k_most_halvings = 4;

BLENDRISK_CLONES void raise_loop(double* x, double by, double* most, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    x[i] += by;
    most[i] = most[i] > x[i] ? most[i] : x[i];
  }
}

BLENDRISK_CLONES void lower_loop(double* x, const double* by, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) x[i] -= by[i];
}

BLENDRISK_CLONES void add_loop(const double* x, double* sum, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) sum[i] += x[i];
}

BLENDRISK_CLONES void divide_loop(double* x, const double* weight, const double* sum,
                                  std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) x[i] *= weight[i] / sum[i];
}

// Widens the scores that are chosen; exponent[i] is that of the wide law's density over the own.
BLENDRISK_CLONES void widen_loop(const double* choice, double* z, double* exponent, std::size_t n) {
  constexpr double k_grows = 0.5 * (1.0 - 1.0 / (k_wide * k_wide));
  for (std::size_t i = 0; i < n; ++i) {
    z[i] *= choice[i] < k_wide_share ? k_wide : 1.0;
    exponent[i] = k_grows * z[i] * z[i];
  }
}

BLENDRISK_CLONES void wide_ratio_loop(const double* wide, double* ratio, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    ratio[i] *= 1.0 - k_wide_share + k_wide_share / k_wide * wide[i];
  }
}

class MixtureFit {
 public:
  MixtureFit(const Problem& problem, Workspace& workspace)
      : problem_(problem), space_(workspace), inputs_(problem.size()) {}

  Fit run() {
    seen_.emplace_back(inputs_, k_first_points);
    draw_wide(seen_.back());
    look(seen_.back());
    if (!learn(seen_.back(), k_carry_first)) return std::move(fit_);
    for (unsigned round = 0; round < k_most_rounds; ++round) {
      seen_.emplace_back(inputs_, k_round_points);
      draw(seen_.back(), round);
      look(seen_.back());
      const bool settled = learn(seen_.back(), k_carry) && power_ == 1.0;
      if (settled && round + 1 >= k_least_rounds) break;
    }
    if (hits_ > 0) {
      const double mean = mean_by_last();
      probe();
      finish(mean);
    }
    return std::move(fit_);
  }

 private:
  sampling::Stream stream() const {
    return {problem_.seed, problem_.purpose, sampling::Purpose::mixture};
  }

  void look(Cloud& cloud) {
    cloud.evaluate(problem_, space_);
    fit_.evaluations += cloud.f.size();
  }

  /// Every score N(0, 1), or, in a share of the points, wide.
  void draw_wide(Cloud& cloud) {
    std::vector<double> choice(k_first_points);
    std::vector<double> ratio(k_first_points, 1.0);
    for (std::size_t d = 0; d < inputs_; ++d) {
      const std::span<double> z = cloud.scores.row(d);
      sampling::scrambled_sobol(0, d, stream().of_dimension(2 * d), z);
      sampling::scrambled_sobol(0, inputs_ + d, stream().of_dimension(2 * d + 1), choice);
      numeric::normal_quantile(z, z);
      widen_loop(choice.data(), z.data(), choice.data(), z.size());
      numeric::exp(choice, choice);
      wide_ratio_loop(choice.data(), ratio.data(), z.size());
    }
    numeric::log(ratio, cloud.log_ratio);
  }

  /// From the mixture so far, with some of the own law.
  void draw(Cloud& cloud, unsigned round) {
    std::vector<Shared> parts{{sampling::own_component(inputs_), k_own_in_round}};
    for (const Shared& one : mixture_) {
      parts.push_back({one.component, one.share * (1.0 - k_own_in_round)});
    }
    std::vector<std::size_t> ends;
    double sum = 0.0;
    for (const Shared& part : parts) {
      sum += part.share;
      ends.push_back(static_cast<std::size_t>(std::lround(sum * double(k_round_points))));
    }
    ends.back() = k_round_points;
    for (std::size_t d = 0; d < inputs_; ++d) {
      const std::span<double> z = cloud.scores.row(d);
      std::size_t from = 0;
      for (std::size_t k = 0; k < parts.size(); ++k) {
        const std::span<double> some = z.subspan(from, ends[k] - from);
        const std::size_t set = (round + 1) * (k_starts + 1) + k;
        sampling::scrambled_sobol(0, d, stream().of_dimension_in(set, d), some);
        sampling::take_scores(parts[k].component, d, some);
        from = ends[k];
      }
    }
    log_ratio_of(parts, cloud.scores, cloud.log_ratio);
  }

  /// Weighs the points and fits the mixture to them. @return whether any were of use
  bool learn(Cloud& cloud, double carry) {
    hits_ = 0;
    for (const double f : cloud.f) hits_ += f > 1e-300 ? 1U : 0U;
    if (hits_ >= k_fewest_hits) {
      flatten(cloud, carry);
    } else if (!take_nearest(cloud)) {
      return false;
    }
    maximise(cloud);
    return true;
  }

  /// Weights to the largest power at which enough points carry them.
  void flatten(Cloud& cloud, double carry) {
    std::vector<double> log_weight(cloud.f.size(), -k_beyond);
    for (std::size_t i = 0; i < cloud.f.size(); ++i) {
      if (cloud.f[i] > 1e-300) log_weight[i] = std::log(cloud.f[i]) - cloud.log_ratio[i];
    }
    const double most = *std::max_element(log_weight.begin(), log_weight.end());
    for (power_ = 1.0; power_ > 1e-3; power_ *= 0.8) {
      for (std::size_t i = 0; i < log_weight.size(); ++i) {
        cloud.weight[i] = power_ * (log_weight[i] - most);
      }
      numeric::exp(cloud.weight, cloud.weight);
      if (mass_of(cloud.weight).effective() >= carry) return;
    }
  }

  /// @return whether any is near
  bool take_nearest(Cloud& cloud) {
    power_ = 0.0;
    std::fill(cloud.weight.begin(), cloud.weight.end(), 0.0);
    const std::vector<std::size_t> order = nearest(cloud.limit_state, k_nearest);
    for (const std::size_t i : order) {
      if (!std::isinf(cloud.limit_state[i])) cloud.weight[i] = 1.0;
    }
    return cloud.weight[order[0]] > 0.0;
  }

  /// One part where the points spread no wider than one does; else expectation maximisation from
  /// starts drawn by weight.
  void maximise(const Cloud& cloud) {
    const double most = *std::max_element(cloud.weight.begin(), cloud.weight.end());
    std::vector<std::size_t> points;
    weight_.clear();
    double sum = 0.0;
    for (std::size_t i = 0; i < cloud.weight.size(); ++i) {
      if (cloud.weight[i] < k_negligible * most) continue;
      points.push_back(i);
      weight_.push_back(cloud.weight[i]);
      sum += cloud.weight[i];
    }
    z_ = Scores(inputs_, points.size());
    for (std::size_t d = 0; d < inputs_; ++d) {
      const std::span<const double> from = cloud.scores.row(d);
      for (std::size_t i = 0; i < points.size(); ++i) z_.row(d)[i] = from[points[i]];
    }
    mixture_.clear();
    Component whole = sampling::own_component(inputs_);
    if (match(weight_, z_, true, whole).widest <= k_one_part_sd) {
      mixture_.push_back({std::move(whole), 1.0});
      return;
    }
    double passed = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      passed += weight_[i] / sum;
      const auto wanted = (static_cast<double>(mixture_.size()) + 0.5) / double(k_starts);
      if (mixture_.size() == k_starts || passed < wanted) continue;
      Component start = sampling::own_component(inputs_);
      for (std::size_t d = 0; d < inputs_; ++d) start.mean[d] = z_.row(d)[i];
      mixture_.push_back({std::move(start), 1.0 / double(k_starts)});
    }
    for (int step = 0; step < k_em_steps && one_step(false) > k_settled;) ++step;
    one_step(true);
  }

  /// @return the farthest that a mean moved, in any score
  double one_step(bool last) {
    const std::size_t n = weight_.size();
    std::vector<std::vector<double>> belongs(mixture_.size(), std::vector<double>(n));
    std::vector<double> most(n, -k_beyond);
    for (std::size_t k = 0; k < mixture_.size(); ++k) {
      sampling::log_ratio_of(mixture_[k].component, z_, belongs[k]);
      raise_loop(belongs[k].data(), std::log(mixture_[k].share), most.data(), n);
    }
    std::vector<double> sum(n, 0.0);
    for (auto& to : belongs) {
      lower_loop(to.data(), most.data(), n);
      numeric::exp(to, to);
      add_loop(to.data(), sum.data(), n);
    }
    for (auto& to : belongs) divide_loop(to.data(), weight_.data(), sum.data(), n);
    double all = 0.0;
    double moved = 0.0;
    for (std::size_t k = 0; k < mixture_.size(); ++k) {
      Shared& one = mixture_[k];
      one.share = std::accumulate(belongs[k].begin(), belongs[k].end(), 0.0);
      all += one.share;
      if (one.share > 0.0)
        moved = std::max(moved, match(belongs[k], z_, last, one.component).moved);
    }
    for (Shared& one : mixture_) one.share /= all;
    std::erase_if(mixture_, [](const Shared& one) { return one.share < k_least_part; });
    merge();
    return moved;
  }

  void merge() {
    for (std::size_t k = 1; k < mixture_.size(); ++k) {
      for (std::size_t j = 0; j < k; ++j) {
        double apart = 0.0;
        for (std::size_t d = 0; d < inputs_; ++d) {
          const double by = mixture_[k].component.mean[d] - mixture_[j].component.mean[d];
          apart += by * by;
        }
        if (apart > 0.1) continue;
        mixture_[j].share += mixture_[k].share;
        mixture_.erase(mixture_.begin() + static_cast<std::ptrdiff_t>(k--));
        break;
      }
    }
  }

  /// The mean of the integrand by the points that were looked at last.
  double mean_by_last() const {
    const Cloud& last = seen_.back();
    double sum = 0.0;
    for (std::size_t i = 0; i < last.f.size(); ++i) {
      sum += last.f[i] * std::exp(-last.log_ratio[i]);
    }
    return sum / static_cast<double>(last.f.size());
  }

  /// Looks where one input with a heavy tail is far out while the others are as fitted.
  void probe() {
    const auto largest =
        std::max_element(mixture_.begin(), mixture_.end(),
                         [](const Shared& a, const Shared& b) { return a.share < b.share; });
    for (std::size_t wide = 0; wide < inputs_; ++wide) {
      const auto& law = problem_.inputs()[problem_.sampler.slots()[wide]].law;
      if (law.law().traits().log_concave) continue;
      Component one = largest->component;
      one.mean[wide] = 0.0;
      one.sd[wide] = k_wide;
      seen_.emplace_back(inputs_, k_probe_points);
      seen_.back().draw(one, stream(), k_first_probe + wide);
      look(seen_.back());
    }
  }

  /// @param mean  of the integrand, roughly
  void finish(double mean) {
    std::vector<Shared> parts = mixture_;
    for (Shared& one : parts) one.share *= 1.0 - k_own - k_one_wide;
    parts.push_back({sampling::own_component(inputs_), k_own});
    for (std::size_t d = 0; d < inputs_; ++d) {
      parts.push_back(
          {sampling::own_component(inputs_), k_one_wide / static_cast<double>(inputs_)});
      parts.back().component.sd[d] = k_one_wide_sd;
    }
    fit_.evaluations += fill_gaps(problem_, space_, mean, seen_, parts);
    double most = 0.0;
    for (const Shared& one : parts) most = std::max(most, one.share);
    for (Shared& one : parts) {
      const auto halvings = static_cast<unsigned>(std::lround(std::log2(most / one.share)));
      fit_.mixture.parts.push_back({std::move(one.component), std::min(halvings, k_most_halvings)});
    }
  }

  static constexpr double k_beyond = 1e300;

  const Problem& problem_;
  Workspace& space_;
  std::size_t inputs_;
  Scores z_{0, 0};              ///< of the points that count
  std::vector<double> weight_;  ///< of the same
  std::vector<Shared> mixture_;
  std::vector<Cloud> seen_;  ///< the pilot, the rounds, the probes
  std::size_t hits_ = 0;
  double power_ = 0.0;  ///< of the weights in the last round
  Fit fit_;
};

}  // namespace

Fit fit_mixture(const Problem& problem, Workspace& workspace) {
  return MixtureFit(problem, workspace).run();
}

}  // namespace blendrisk::estimate
