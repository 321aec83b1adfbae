#include "distributions/score_table.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "distributions/distribution.hpp"
#include "numeric/arrays.hpp"

namespace blendrisk::distributions {
namespace {

constexpr double k_width = 0.5;

}  // namespace

double quantile_at_score(const Distribution& law, double z) {
  return z <= 0.0 ? quantile(law, std::max(numeric::normal_cdf(z), 1e-300))
                  : quantile_complement(law, std::max(numeric::normal_cdf(-z), 1e-300));
}

ScoreTable::ScoreTable(const Distribution& law)
    : low_(lowest(law)),
      high_(highest(law)),
      pieces_(static_cast<std::size_t>(std::lround(2.0 * k_farthest / k_width))) {
  constexpr auto n = static_cast<double>(k_terms);
  std::array<double, k_terms> node{};
  for (std::size_t j = 0; j < k_terms; ++j) {
    node[j] = std::cos(std::numbers::pi * (static_cast<double>(j) + 0.5) / n);
  }
  for (std::size_t i = 0; i < pieces_.size(); ++i) {
    const double middle = -k_farthest + k_width * (static_cast<double>(i) + 0.5);
    std::array<double, k_terms> value{};
    for (std::size_t j = 0; j < k_terms; ++j) {
      value[j] = quantile_at_score(law, middle + 0.5 * k_width * node[j]);
    }
    for (std::size_t k = 0; k < k_terms; ++k) {
      double sum = 0.0;
      for (std::size_t j = 0; j < k_terms; ++j) {
        sum += value[j] * std::cos(std::numbers::pi * static_cast<double>(k) *
                                   (static_cast<double>(j) + 0.5) / n);
      }
      pieces_[i][k] = (k == 0 ? 1.0 : 2.0) * sum / n;
    }
  }
}

void ScoreTable::quantile(std::span<const double> z, double* x) const {
  for (std::size_t i = 0; i < z.size(); ++i) {
    const double place = (std::clamp(z[i], -k_farthest, k_farthest) + k_farthest) / k_width;
    const std::size_t piece = std::min(static_cast<std::size_t>(place), pieces_.size() - 1);
    const double t = 2.0 * (place - static_cast<double>(piece)) - 1.0;
    const Piece& c = pieces_[piece];
    double b1 = 0.0;
    double b2 = 0.0;
    for (std::size_t k = k_terms - 1; k > 0; --k) {
      const double b = 2.0 * t * b1 - b2 + c[k];
      b2 = b1;
      b1 = b;
    }
    x[i] = std::clamp(t * b1 - b2 + c[0], low_, high_);
  }
}

}  // namespace blendrisk::distributions
