#include "distributions/quantile_table.hpp"

#include <algorithm>
#include <cmath>

#include "distributions/law.hpp"
#include "models/chebyshev.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::distributions {
namespace {

constexpr double k_width = 0.5;

}  // namespace

double quantile_at_score(const Law& law, double z) {
  return z <= 0.0 ? law.lower_quantile(std::max(numeric::normal_cdf(z), 1e-300))
                  : law.upper_quantile(std::max(numeric::normal_cdf(-z), 1e-300));
}

ScoreTable::ScoreTable(const Law& law)
    : low_(law.lowest()),
      high_(law.highest()),
      pieces_(static_cast<std::size_t>(std::lround(2.0 * k_farthest / k_width))) {
  for (std::size_t i = 0; i < pieces_.size(); ++i) {
    const double middle = -k_farthest + k_width * (static_cast<double>(i) + 0.5);
    pieces_[i] = models::chebyshev_coefficients<double, k_terms>(
        [&](double x) { return quantile_at_score(law, middle + 0.5 * k_width * x); });
  }
}

void ScoreTable::quantile(std::span<const double> z, double* x) const {
  for (std::size_t i = 0; i < z.size(); ++i) {
    const double place = (std::clamp(z[i], -k_farthest, k_farthest) + k_farthest) / k_width;
    const std::size_t piece = std::min(static_cast<std::size_t>(place), pieces_.size() - 1);
    const double t = 2.0 * (place - static_cast<double>(piece)) - 1.0;
    x[i] = std::clamp(models::chebyshev_sum(pieces_[piece], t), low_, high_);
  }
}

}  // namespace blendrisk::distributions
