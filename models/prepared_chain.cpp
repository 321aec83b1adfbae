#include "models/prepared_chain.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <functional>

#include "models/infinity.hpp"
#include "models/pipe_function.hpp"

namespace blendrisk::models {

PreparedChain::PreparedChain(const Chain& chain) : chain_(chain) {
  std::array<double, 3> v = chain.stirred_l;
  std::sort(v.begin(), v.end(), std::greater<>());
  const auto n = static_cast<std::size_t>(
      std::count_if(v.begin(), v.end(), [](double volume) { return volume > 0.0; }));
  constexpr double apart = 2e-6;
  for (std::size_t i = 0; i + 1 < n; ++i) {
    const double sum = v[i] + v[i + 1];
    if (v[i] - v[i + 1] >= 2.0 * apart * sum) continue;
    v[i] = sum * (0.5 + apart);
    v[i + 1] = sum * (0.5 - apart);
  }
  for (std::size_t i = 0; i < n; ++i) {
    double weight = 1.0;
    for (std::size_t j = 0; j < n; ++j) {
      if (j != i) weight *= v[i] / (v[i] - v[j]);
    }
    hard_ = hard_ || !(std::abs(weight) < 1e6);
    weight_[i] = weight;
    rate_[i] = 1.0 / v[i];
    shift_[i] = 0.5 * chain.pipe_l / v[i];
    at_pipe_[i] = chain.pipe == Pipe::laminar ? pipe_function(shift_[i]) : 0.0;
  }
  count_ = static_cast<int>(n);
}

/// 1 − F.
double PreparedChain::remaining(double q) const {
  const auto n = static_cast<std::size_t>(count_);
  const bool pipe = chain_.pipe_l > 0.0;
  double left = 0.0;
  if (!pipe || chain_.pipe == Pipe::plug) {
    const double past = q - chain_.pipe_l;
    if (n == 0) return past >= 0.0 ? 0.0 : 1.0;
    if (past <= 0.0) return 1.0;
    for (std::size_t i = 0; i < n; ++i) left += weight_[i] * std::exp(-past * rate_[i]);
    return left;
  }
  if (q <= 0.5 * chain_.pipe_l) return 1.0;
  const double ratio = 0.5 * chain_.pipe_l / q;
  const double square = ratio * ratio;
  for (std::size_t i = 0; i < n; ++i) {
    const double y = q * rate_[i];
    left += weight_[i] * (square * pipe_function(y) - std::exp(shift_[i] - y) * at_pipe_[i]);
  }
  return square + left;
}

double PreparedChain::cdf(double q_l) const {
  if (!(q_l >= 0.0)) return 0.0;
  if (std::isinf(q_l)) return 1.0;
  if (hard_) return residence_cdf(chain_, q_l);
  return std::clamp(1.0 - remaining(q_l), 0.0, 1.0);
}

double PreparedChain::quantile(double share) const {
  if (!(share > cdf(0.0))) return 0.0;
  if (share >= 1.0) return k_infinity;
  if (count_ == 0) {
    return chain_.pipe == Pipe::plug ? chain_.pipe_l : 0.5 * chain_.pipe_l / std::sqrt(1.0 - share);
  }
  double low = chain_.pipe == Pipe::plug ? chain_.pipe_l : 0.5 * chain_.pipe_l;
  double high = std::max(residence_mean(chain_), 2.0 * low);
  const auto excess = [&](double q) { return cdf(q) - share; };
  double at_low = excess(low);
  double at_high = excess(high);
  while (at_high < 0.0 && high < 1e300) {
    low = high;
    at_low = at_high;
    high *= 2.0;
    at_high = excess(high);
  }
  if (at_low >= 0.0) return low;
  if (at_high <= 0.0) return high;
  const auto close = [](double a, double b) { return b - a <= 1e-10 * b; };
  std::uintmax_t steps = 60;
  const auto [from, to] =
      boost::math::tools::toms748_solve(excess, low, high, at_low, at_high, close, steps);
  return 0.5 * (from + to);
}

double renewed_share(const PreparedChain& chain, double volume_l, double q_l) {
  if (!(volume_l > 0.0) || std::isinf(q_l)) return 1.0;
  constexpr int k_steps = 64;
  const bool early = q_l < volume_l;
  double sum = 0.0;
  for (int i = 0; i < k_steps; ++i) {
    const double w = (i + 0.5) / k_steps;
    // Of the later side by w = q/s, which makes a flat one of the pipe's slow end.
    sum += early ? 1.0 - chain.cdf(q_l * w) : (1.0 - chain.cdf(q_l / w)) / (w * w);
  }
  const double side = std::clamp(sum * q_l / (k_steps * volume_l), 0.0, 1.0);
  return early ? side : 1.0 - side;
}

}  // namespace blendrisk::models
