#include "learn/correlation.hpp"

#include <cmath>
#include <cstddef>

namespace blendrisk::learn {
namespace {

double product_at_lag(const std::vector<double>& residuals, std::size_t lag) {
  double sum = 0.0;
  for (std::size_t i = lag; i < residuals.size(); ++i) sum += residuals[i] * residuals[i - lag];
  return sum;
}

}  // namespace

double correlation_length(const std::vector<double>& residuals) {
  const double squares = product_at_lag(residuals, 0);
  const double error = 1.0 / std::sqrt(static_cast<double>(residuals.size()));
  double length = 1.0;
  for (std::size_t lag = 1; lag < residuals.size() / 4; ++lag) {
    const double correlation = product_at_lag(residuals, lag) / squares;
    if (!(correlation > (lag == 1 ? 3.3 : 2.0) * error)) break;
    length += 2.0 * correlation;
  }
  return length;
}

}  // namespace blendrisk::learn
