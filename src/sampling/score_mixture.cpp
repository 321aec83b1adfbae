#include "sampling/score_mixture.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::sampling {
namespace {

// ln of the ratio of N(m, s²) to N(0, 1) is a quadratic in z.
BLENDRISK_CLONES void quadratic_loop(const double* z, double square, double linear, double* sum,
                                     std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) sum[i] += z[i] * (linear + square * z[i]);
}

BLENDRISK_CLONES void share_loop(const double* of, double share, double* sum, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) sum[i] += share * of[i];
}

}  // namespace

Component own_component(std::size_t inputs) {
  return {std::vector<double>(inputs, 0.0), std::vector<double>(inputs, 1.0)};
}

void take_scores(const Component& component, std::size_t d, std::span<double> u) {
  numeric::normal_quantile(u, u);
  const double mean = component.mean[d];
  const double sd = component.sd[d];
  for (double& z : u) z = mean + sd * z;
}

void log_ratio_of(const Component& component, const Scores& scores, std::span<double> log_ratio) {
  double constant = 0.0;
  for (std::size_t d = 0; d < component.mean.size(); ++d) {
    const double m = component.mean[d];
    const double s = component.sd[d];
    constant -= std::log(s) + 0.5 * m * m / (s * s);
  }
  std::fill(log_ratio.begin(), log_ratio.end(), constant);
  for (std::size_t d = 0; d < component.mean.size(); ++d) {
    const double m = component.mean[d];
    const double s = component.sd[d];
    if (m == 0.0 && s == 1.0) continue;
    quadratic_loop(scores.row(d).data(), 0.5 - 0.5 / (s * s), m / (s * s), log_ratio.data(),
                   log_ratio.size());
  }
}

void ratio_of(const Component& component, const Scores& scores, std::span<double> ratio) {
  log_ratio_of(component, scores, ratio);
  // Beyond, the point's weight is nothing; its square is still a number.
  constexpr double k_most = 340.0;
  for (double& log : ratio) log = std::min(log, k_most);
  numeric::exp(ratio, ratio);
}

void add_ratio(const Component& component, double share, const Scores& scores,
               std::span<double> scratch, std::span<double> ratio) {
  ratio_of(component, scores, scratch);
  share_loop(scratch.data(), share, ratio.data(), ratio.size());
}

}  // namespace blendrisk::sampling
