#include "estimate/evidence.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>

#include "estimate/parallel.hpp"
#include "estimate/weights.hpp"
#include "models/infinity.hpp"
#include "numeric/cholesky.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

constexpr std::size_t k_sets = SmcSampler::k_blocks;
constexpr std::size_t k_set_points = 512;
constexpr std::size_t k_of_prior = k_set_points / 8;
constexpr unsigned k_most_fits = 6;
/// Weights that are as even as this tell the mean well.
constexpr double k_even = 0.1;
/// Points, for each coordinate and one more, that have to carry a fit.
constexpr double k_carry_each = 12.0;
/// The fitted law is wider than the points by this: beyond a limit they thin out slower than a
/// normal law of their own width, so that few points would have far too large weights.
constexpr double k_broader = 1.5;

/// The points of all replicates, one below the other, and ln of their weights.
struct Points {
  Eigen::MatrixXd z;
  std::vector<double> log_weight, state;
};

class Sampler {
 public:
  Sampler(const NormalFit& law, const sampling::Stream& stream) : law_(law), stream_(stream) {}

  Points run(const MakeLikelihood& make, double floor, unsigned threads) const {
    const Eigen::Index d = law_.mean.size();
    Points points{Eigen::MatrixXd(k_sets * k_set_points, d),
                  std::vector<double>(k_sets * k_set_points),
                  std::vector<double>(k_sets * k_set_points)};
    in_parallel(k_sets, threads, [&] {
      return [&, likelihood = make()](std::size_t r) {
        const auto first = static_cast<Eigen::Index>(r * k_set_points);
        auto z = points.z.middleRows(first, k_set_points);
        z = drawn(r);
        const auto of_set = [r](std::vector<double>& all) {
          return std::span(all).subspan(r * k_set_points, k_set_points);
        };
        weigh(z, floor, *likelihood, of_set(points.log_weight), of_set(points.state));
      };
    });
    return points;
  }

 private:
  /// Those of the prior first.
  Eigen::MatrixXd drawn(std::size_t replicate) const {
    Eigen::MatrixXd z(k_set_points, law_.mean.size());
    for (Eigen::Index d = 0; d < z.cols(); ++d) {
      const std::span<double> all(z.col(d).data(), k_set_points);
      const auto key = [&](std::uint64_t part) {
        return stream_.of_dimension_in(replicate * 2 + part, static_cast<std::uint64_t>(d));
      };
      sampling::scrambled_sobol(0, static_cast<std::size_t>(d), key(0), all.first(k_of_prior));
      sampling::scrambled_sobol(0, static_cast<std::size_t>(d), key(1), all.subspan(k_of_prior));
      numeric::normal_quantile(all, all);
    }
    auto fitted = z.bottomRows(k_set_points - k_of_prior);
    fitted = ((fitted * law_.root.transpose()).rowwise() + law_.mean.transpose()).eval();
    return z;
  }

  void weigh(const Eigen::MatrixXd& z, double floor, Likelihood& likelihood,
             std::span<double> log_weight, std::span<double> state) const {
    likelihood.evaluate(z.array(), log_weight, state);
    const Eigen::MatrixXd v = law_.root.triangularView<Eigen::Lower>().solve(
        (z.rowwise() - law_.mean.transpose()).transpose());
    const double log_root = law_.root.diagonal().array().log().sum();
    constexpr double prior = double(k_of_prior) / double(k_set_points);
    for (std::size_t i = 0; i < k_set_points; ++i) {
      const auto row = static_cast<Eigen::Index>(i);
      // Density of the law over that of the prior.
      const double ratio =
          std::exp(0.5 * (z.row(row).squaredNorm() - v.col(row).squaredNorm()) - log_root);
      log_weight[i] -= std::log(prior + (1.0 - prior) * ratio);
      if (state[i] < floor) log_weight[i] = -k_infinity;
    }
  }

  const NormalFit& law_;
  sampling::Stream stream_;
};

/// exp(power · ln w), the largest 1.
std::vector<double> weights_of(const Points& points, double most, double power) {
  std::vector<double> weights(points.log_weight.size());
  for (std::size_t i = 0; i < weights.size(); ++i) {
    weights[i] = std::exp(power * (points.log_weight[i] - most));
  }
  return weights;
}

/// To the points by their weights, flattened where too few carry them.
NormalFit fitted(const Points& points, double most) {
  const Eigen::Index d = points.z.cols();
  const double carry = k_carry_each * static_cast<double>(d + 1);
  double power = 1.0;
  std::vector<double> weights = weights_of(points, most, power);
  while (mass_of(weights).effective() < carry && power > 1e-3) {
    weights = weights_of(points, most, power *= 0.8);
  }
  const Eigen::Map<const Eigen::VectorXd> w(weights.data(), points.z.rows());
  const double all = w.sum();
  NormalFit fit{points.z.transpose() * w / all, {}};
  const Eigen::MatrixXd off = points.z.rowwise() - fit.mean.transpose();
  const Eigen::MatrixXd covariance =
      off.transpose() * w.asDiagonal() * off / all + 1e-6 * Eigen::MatrixXd::Identity(d, d);
  fit.root = numeric::cholesky(k_broader * covariance).root;
  return fit;
}

}  // namespace

Evidence evidence(const MakeLikelihood& make, double floor, NormalFit first, std::uint64_t seed,
                  std::uint64_t name, unsigned threads) {
  Evidence result;
  for (unsigned round = 0;; ++round) {
    const sampling::Stream stream(seed, sampling::Purpose::evidence, name, round);
    const Points points = Sampler(first, stream).run(make, floor, threads);
    result.evaluations += points.log_weight.size();
    result.log_scale = *std::max_element(points.log_weight.begin(), points.log_weight.end());
    if (std::isinf(result.log_scale)) return result;
    const std::vector<double> weights = weights_of(points, result.log_scale, 1.0);
    result.effective_share = mass_of(weights).effective() / static_cast<double>(weights.size());
    if (result.effective_share >= k_even || round + 1 == k_most_fits) {
      std::array<double, k_sets> means{};
      for (std::size_t i = 0; i < weights.size(); ++i) {
        means[i / k_set_points] += weights[i] / double(k_set_points);
      }
      result.mean = mean_of(means);
      for (std::size_t i = 0; i < weights.size(); ++i) {
        if (weights[i] > 0.0) {
          result.states.push_back({points.state[i], weights[i] / double(weights.size())});
        }
      }
      return result;
    }
    first = fitted(points, result.log_scale);
  }
}

double level_of(const Evidence& of, const Evidence& whole, double share) {
  const double wanted = share * whole.mean.mean * std::exp(whole.log_scale - of.log_scale);
  std::vector<Weighted> states = of.states;
  sort(states);
  double sum = 0.0;
  while (!states.empty()) {
    sum += states.back().weight;
    if (sum >= wanted || states.size() == 1) break;
    states.pop_back();
  }
  return states.back().value;
}

MeanOfReplicates quotient(const Evidence& a, const Evidence& b) {
  const double scale = std::exp(a.log_scale - b.log_scale);
  const MeanOfReplicates above{a.mean.mean * scale, a.mean.variance * scale * scale, a.mean.dof};
  return given(above, Known{b.mean});
}

}  // namespace blendrisk::estimate
