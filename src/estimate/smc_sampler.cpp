#include "estimate/smc_sampler.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "estimate/parallel.hpp"
#include "models/infinity.hpp"
#include "numeric/cholesky.hpp"
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
    choose(b, from);
  }
}

void SmcSampler::choose(std::size_t b, const std::vector<std::size_t>& from) {
  blocks_[b].z = blocks_[b].z(from, Eigen::all).eval();
  const Values old = values_[b];
  for (std::size_t i = 0; i < each_; ++i) {
    values_[b].old_data[i] = old.old_data[from[i]];
    values_[b].new_data[i] = old.new_data[from[i]];
  }
}

std::vector<Weighted> SmcSampler::limit_states() const {
  const std::vector<double> weight = weights();
  std::vector<Weighted> all;
  all.reserve(k_blocks * each_);
  for (std::size_t b = 0; b < k_blocks; ++b) {
    for (const double state : values_[b].new_data) {
      all.push_back({state, weight[b] / static_cast<double>(each_)});
    }
  }
  return all;
}

void SmcSampler::keep_from(double level) {
  std::vector<double> above(each_);
  for (std::size_t b = 0; b < k_blocks; ++b) {
    const std::vector<double>& states = values_[b].new_data;
    std::transform(states.begin(), states.end(), above.begin(),
                   [&](double state) { return state >= level ? 1.0 : 0.0; });
    const double count = mass_of(above).sum;
    blocks_[b].log_evidence += std::log(count / static_cast<double>(each_));
    if (count > 0.0) choose(b, resampled(above, each_));
  }
}

Climb SmcSampler::climb(const MakeLikelihood& make, double level, double least, unsigned threads) {
  constexpr double k_of_last = 0.25;
  constexpr std::size_t k_moves = 2;
  constexpr double k_close = 1.01;
  // Beyond a level cases thin out slower than a normal law of their own width.
  constexpr double k_far = 3.0;
  const std::vector<double> evidence = weights();  // of all cases, the sum 1
  std::array<double, k_blocks> start{};
  for (std::size_t b = 0; b < k_blocks; ++b) start[b] = blocks_[b].log_evidence;
  const auto share = [&] {
    std::array<double, k_blocks> means{};
    for (std::size_t b = 0; b < k_blocks; ++b) {
      means[b] = evidence[b] * std::exp(blocks_[b].log_evidence - start[b]);
    }
    const double mean = std::accumulate(means.begin(), means.end(), 0.0);
    // Of a quotient: what each block has beyond its part of the whole.
    double squares = 0.0;
    for (std::size_t b = 0; b < k_blocks; ++b) {
      squares += (means[b] - mean * evidence[b]) * (means[b] - mean * evidence[b]);
    }
    constexpr auto n = static_cast<double>(k_blocks);
    return MeanOfReplicates{mean, squares * n / (n - 1.0), n - 1.0};
  };
  evaluate(make, threads);
  Climb climb{-k_infinity, {1.0, 0.0, 0.0}, false};
  while (!climb.reached && climb.share.mean > k_close * least) {
    std::vector<Weighted> states = limit_states();
    sort(states);
    const double next = quantile_of(states, 1.0 - std::max(k_of_last, least / climb.share.mean));
    // Where many cases are alike, the next one above them.
    const auto above = std::find_if(states.begin(), states.end(), [&](const Weighted& one) {
      return one.weight > 0.0 && one.value > climb.level && one.value >= next;
    });
    if (above == states.end()) break;
    climb.level = std::min(level, above->value);
    ++stage_;
    keep_from(climb.level);
    climb.share = share();
    climb.reached = climb.level == level;
    move_all(make, {0.0, climb.level}, k_far, k_moves, threads);
  }
  return climb;
}

NormalFit SmcSampler::fit(double wider) const {
  const auto d = static_cast<Eigen::Index>(dimensions_);
  const std::vector<double> weight = weights();
  NormalFit proposal{centre().matrix(), Eigen::MatrixXd::Zero(d, d)};
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Identity(d, d) * 1e-6;
  for (std::size_t b = 0; b < k_blocks; ++b) {
    const Eigen::MatrixXd off = blocks_[b].z.matrix().rowwise() - proposal.mean.transpose();
    covariance += weight[b] / static_cast<double>(each_) * (off.transpose() * off);
  }
  proposal.root = numeric::cholesky(wider * covariance).root;
  return proposal;
}

// v = root⁻¹ (z − mean) is moved to keep · v + sqrt(1 − keep²) ξ, which the fitted normal law
// leaves as it is; the rest of the posterior decides.
void SmcSampler::move(std::size_t b, const NormalFit& proposal, const Target& target, double keep,
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
        old_data[k] - values.old_data[k] + target.power * (new_data[k] - values.new_data[k]);
    if (new_data[k] < target.floor || !(std::log(u[each_ * dimensions_ + k]) < ratio)) continue;
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

void SmcSampler::move_all(const MakeLikelihood& make, const Target& target, double wider,
                          std::size_t moves, unsigned threads) {
  if (dimensions_ == 0) return;
  const NormalFit proposal = fit(wider);
  in_parallel(k_blocks, threads, [&] {
    return [&, likelihood = make()](std::size_t b) {
      for (std::size_t m = 0; m < moves; ++m) {
        const double keep = k_keep[m % k_keep.size()];
        move(b, proposal, target, keep, stream_of(seed_, stage_, k_first_move + m, b).key(),
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
    move_all(make, {power, -k_infinity}, k_wider,
             k_keep.size() - (at_once ? 2 : (power < 1.0 ? 1 : 0)), threads);
  }
}

void SmcSampler::rejuvenate(const MakeLikelihood& make, unsigned threads) {
  evaluate(make, threads);
  ++stage_;
  move_all(make, {1.0, -k_infinity}, k_wider, 2 * k_keep.size(), threads);
}

}  // namespace blendrisk::estimate
