#include "estimate/smc_sampler.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>
#include <cmath>

#include "estimate/parallel.hpp"
#include "estimate/weights.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/sobol.hpp"
#include "sampling/xoshiro.hpp"

namespace blendrisk::estimate {
namespace {

/// Of the old case that a proposal keeps, move by move: first far jumps, then closer ones.
constexpr std::array<double, 4> k_keep{0.0, 0.6, 0.9, 0.0};
/// The fitted proposal is this much wider than the cases it was fitted to.
constexpr double k_wider = 1.15;

/// What a stage draws numbers for; its moves are numbered on.
enum What : std::uint64_t { k_start, k_resampling, k_first_move };

sampling::Stream stream_of(std::uint64_t seed, std::uint64_t stage, std::uint64_t what,
                           std::uint64_t block) {
  return {seed, sampling::Purpose::posterior, stage, what, block};
}

double log_mean_exp(std::span<const double> x, double step) {
  const double top = step * *std::max_element(x.begin(), x.end());
  double sum = 0.0;
  for (const double value : x) sum += std::exp(step * value - top);
  return top + std::log(sum / static_cast<double>(x.size()));
}

/// Uniforms, as many as asked for.
std::vector<double> uniforms(std::uint64_t key, std::size_t n) {
  std::vector<double> u((n + 7) / 8 * 8);
  sampling::Xoshiro(key).fill(u);
  u.resize(n);
  return u;
}

}  // namespace

SmcSampler::SmcSampler(std::size_t dimensions, std::size_t each, std::uint64_t seed)
    : dimensions_(dimensions), each_(each), seed_(seed), blocks_(k_blocks), values_(k_blocks) {
  std::vector<double> u(each);
  for (std::size_t b = 0; b < k_blocks; ++b) {
    Block& block = blocks_[b];
    block.z.resize(static_cast<Eigen::Index>(each), static_cast<Eigen::Index>(dimensions));
    const sampling::Stream stream = stream_of(seed, 0, k_start, b);
    for (std::size_t d = 0; d < dimensions; ++d) {
      sampling::scrambled_sobol(0, d, stream.of_dimension(d), u);
      numeric::normal_quantile(u, {block.z.col(static_cast<Eigen::Index>(d)).data(), each});
    }
  }
}

std::vector<double> SmcSampler::weights() const {
  double top = blocks_.front().log_evidence;
  for (const Block& block : blocks_) top = std::max(top, block.log_evidence);
  std::vector<double> weights;
  double sum = 0.0;
  for (const Block& block : blocks_) {
    weights.push_back(std::exp(block.log_evidence - top));
    sum += weights.back();
  }
  for (double& weight : weights) weight /= sum;
  return weights;
}

Eigen::ArrayXd SmcSampler::centre() const {
  Eigen::ArrayXd centre = Eigen::ArrayXd::Zero(static_cast<Eigen::Index>(dimensions_));
  const std::vector<double> weight = weights();
  for (std::size_t b = 0; b < k_blocks; ++b) {
    centre += weight[b] * blocks_[b].z.colwise().mean().transpose();
  }
  return centre;
}

// The largest step at which the cases are still worth half their number.
double SmcSampler::next_power(double power) const {
  const auto worth = [&](double step) {
    double top = -1e300;
    for (const Values& values : values_) {
      for (const double x : values.new_data) top = std::max(top, step * x);
    }
    Mass mass;
    for (const Values& values : values_) {
      for (const double x : values.new_data) mass.add(std::exp(step * x - top));
    }
    return mass.effective();
  };
  const double enough = 0.5 * static_cast<double>(each_ * k_blocks);
  double high = 1.0 - power;
  if (worth(high) >= enough) return 1.0;
  double low = 0.0;
  for (int i = 0; i < 30; ++i) {
    const double middle = low > 0.0 ? std::sqrt(low * high) : high * 1e-3;
    if (worth(middle) >= enough) {
      low = middle;
      if (high - low < 0.02 * high) break;
    } else {
      high = middle;
    }
  }
  // A step in any case, however hard the data.
  return power + std::max(low, 1e-3 * high);
}

// Systematic resampling within each block.
void SmcSampler::resample(double step, std::uint64_t stage) {
  std::vector<std::size_t> from(each_);
  for (std::size_t b = 0; b < k_blocks; ++b) {
    Block& block = blocks_[b];
    Values& values = values_[b];
    const double log_mean = log_mean_exp(values.new_data, step);
    block.log_evidence += log_mean;
    double place = uniforms(stream_of(seed_, stage, k_resampling, b).key(), 1).front();
    double passed = 0.0;
    std::size_t out = 0;
    for (std::size_t i = 0; i < each_ && out < each_; ++i) {
      passed += std::exp(step * values.new_data[i] - log_mean);
      for (; out < each_ && place < passed; place += 1.0) from[out++] = i;
    }
    for (; out < each_; ++out) from[out] = each_ - 1;
    block.z = block.z(from, Eigen::all).eval();
    const Values old = values;
    for (std::size_t i = 0; i < each_; ++i) {
      values.old_data[i] = old.old_data[from[i]];
      values.new_data[i] = old.new_data[from[i]];
    }
  }
}

SmcSampler::Proposal SmcSampler::fit() const {
  const auto d = static_cast<Eigen::Index>(dimensions_);
  const std::vector<double> weight = weights();
  Proposal proposal{centre().matrix(), Eigen::MatrixXd::Zero(d, d)};
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Identity(d, d) * 1e-6;
  for (std::size_t b = 0; b < k_blocks; ++b) {
    const Eigen::MatrixXd off = blocks_[b].z.matrix().rowwise() - proposal.mean.transpose();
    covariance += weight[b] / static_cast<double>(each_) * (off.transpose() * off);
  }
  proposal.root = (k_wider * covariance).llt().matrixL();
  return proposal;
}

// v = root⁻¹ (z − mean) is moved to keep · v + sqrt(1 − keep²) ξ, which the fitted normal law
// leaves as it is; the rest of the posterior decides.
void SmcSampler::move(std::size_t b, const Proposal& proposal, double power, double keep,
                      std::uint64_t key, Likelihood& likelihood) {
  Block& block = blocks_[b];
  Values& values = values_[b];
  const auto n = static_cast<Eigen::Index>(each_);
  const auto d = static_cast<Eigen::Index>(dimensions_);
  const std::vector<double> u = uniforms(key, each_ * (dimensions_ + 1));
  const Eigen::MatrixXd v =
      proposal.root.triangularView<Eigen::Lower>()
          .solve((block.z.matrix().rowwise() - proposal.mean.transpose()).transpose())
          .transpose();
  Eigen::MatrixXd fresh(n, d);
  numeric::normal_quantile({u.data(), each_ * dimensions_}, {fresh.data(), each_ * dimensions_});
  fresh = keep * v + std::sqrt(1.0 - keep * keep) * fresh;
  Eigen::ArrayXXd z = (fresh * proposal.root.transpose()).rowwise() + proposal.mean.transpose();
  std::vector<double> old_data(each_);
  std::vector<double> new_data(each_);
  likelihood.evaluate(z, old_data, new_data);
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto k = static_cast<std::size_t>(i);
    const double ratio =
        0.5 * (block.z.row(i).matrix().squaredNorm() - z.row(i).matrix().squaredNorm() +
               fresh.row(i).squaredNorm() - v.row(i).squaredNorm()) +
        old_data[k] - values.old_data[k] + power * (new_data[k] - values.new_data[k]);
    if (!(std::log(u[each_ * dimensions_ + k]) < ratio)) continue;
    block.z.row(i) = z.row(i);
    values.old_data[k] = old_data[k];
    values.new_data[k] = new_data[k];
  }
}

void SmcSampler::evaluate(const MakeLikelihood& make, unsigned threads) {
  in_parallel(k_blocks, threads, [&] {
    return [&, likelihood = make()](std::size_t b) {
      values_[b].old_data.resize(each_);
      values_[b].new_data.resize(each_);
      likelihood->evaluate(blocks_[b].z, values_[b].old_data, values_[b].new_data);
    };
  });
  evaluations_ += k_blocks * each_;
}

void SmcSampler::move_all(const MakeLikelihood& make, double power, std::size_t moves,
                          unsigned threads) {
  if (dimensions_ == 0) return;
  const Proposal proposal = fit();
  in_parallel(k_blocks, threads, [&] {
    return [&, likelihood = make()](std::size_t b) {
      for (std::size_t m = 0; m < moves; ++m) {
        const double keep = k_keep[m % k_keep.size()];
        move(b, proposal, power, keep, stream_of(seed_, stage_, k_first_move + m, b).key(),
             *likelihood);
      }
    };
  });
  evaluations_ += moves * k_blocks * each_;
}

void SmcSampler::temper(const MakeLikelihood& make, unsigned threads) {
  evaluate(make, threads);
  double power = 0.0;
  while (power < 1.0) {
    const double next = next_power(power);
    ++stage_;
    resample(next - power, stage_);
    // Data that tell little of themselves are let in at once, and need less stirring.
    const bool at_once = next == 1.0 && power == 0.0;
    power = next;
    move_all(make, power, k_keep.size() - (at_once ? 2 : (power < 1.0 ? 1 : 0)), threads);
  }
}

void SmcSampler::rejuvenate(const MakeLikelihood& make, unsigned threads) {
  evaluate(make, threads);
  ++stage_;
  move_all(make, 1.0, 2 * k_keep.size(), threads);
}

}  // namespace blendrisk::estimate
