#include "estimate/calibration.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/special_functions/bessel.hpp>
#include <cmath>

#include "numeric/sampling_laws.hpp"
#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::estimate {
namespace {

/// Chance of passing each of the two tests, and the upper tail of each.
const double k_pass = std::sqrt(0.95);
const double k_tail = 0.5 * (1.0 - k_pass);
/// Of one row, which has no variance, the only test passes in 95 %.
double tail_of(std::size_t rows) {
  return rows > 1 ? k_tail : 0.025;
}

double factor_of(std::size_t rows) {
  return -numeric::normal_quantile(tail_of(rows));
}

/// Sums of squares about the mean that pass.
std::array<double, 2> passing_squares(std::size_t rows) {
  const double dof = static_cast<double>(rows) - 1.0;
  return {numeric::chi_squared_quantile(dof, k_tail),
          numeric::chi_squared_upper_quantile(dof, k_tail)};
}

/// @param sd  of the scores   @param shift  of their mean
double chance_to_pass(std::size_t rows, double sd, double shift) {
  const double root = std::sqrt(static_cast<double>(rows));
  const double factor = factor_of(rows);
  const double mean_passes = numeric::normal_cdf((factor - shift * root) / sd) -
                             numeric::normal_cdf((-factor - shift * root) / sd);
  if (rows < 2) return mean_passes;
  const double dof = static_cast<double>(rows) - 1.0;
  const auto [low, high] = passing_squares(rows);
  return mean_passes * (numeric::chi_squared_cdf(dof, high / (sd * sd)) -
                        numeric::chi_squared_cdf(dof, low / (sd * sd)));
}

/// Where the power is 80 %, between `from`, where it is not yet, and `to`.
template <class Power>
double reached(const Power& power, double from, double to) {
  const bool rises = from < to;
  const auto excess = [&](double x) { return (rises ? 1.0 : -1.0) * (power(x) - 0.8); };
  const double low = std::min(from, to);
  const double high = std::max(from, to);
  const auto close = [](double a, double b) { return std::abs(b - a) < 1e-9 * (1.0 + a); };
  return numeric::root(excess, {low, high, excess(low), excess(high)}, close, 200).middle();
}

Reach reach_of(std::size_t rows) {
  Reach reach;
  const auto of_spread = [rows](double spread) { return power_of(rows, spread, 0.0); };
  const auto of_shift = [rows](double shift) { return power_of(rows, 1.0, shift); };
  std::ranges::transform(k_told_spreads, reach.power.begin(), of_spread);
  constexpr double k_farthest = 1e4;
  if (rows > 1) {
    reach.narrow = reached(of_spread, 1.0, 1.0 / k_farthest);
    reach.wide = reached(of_spread, 1.0, k_farthest);
  }
  reach.shift = reached(of_shift, 0.0, 20.0);
  return reach;
}

}  // namespace

double power_of(std::size_t rows, double spread, double shift) {
  return 1.0 - chance_to_pass(rows, 1.0 / spread, shift / spread);
}

double cramer_von_mises(std::vector<double> shares) {
  std::ranges::sort(shares);
  const auto n = static_cast<double>(shares.size());
  double statistic = 1.0 / (12.0 * n);
  for (std::size_t i = 0; i < shares.size(); ++i) {
    const double off = shares[i] - (static_cast<double>(i) + 0.5) / n;
    statistic += off * off;
  }
  return statistic;
}

double cramer_von_mises_p(double statistic, std::size_t n) {
  const auto rows = static_cast<double>(n);
  const double x = (statistic - 0.4 / rows + 0.6 / (rows * rows)) * (1.0 + 1.0 / rows);
  if (x <= 0.02) return 1.0;  // 1 - 3e-6 and more
  double sum = 0.0;
  double binomial = 1.0;  // of -1/2 over k, without its sign
  constexpr int k_terms = 10;
  for (int k = 0; k < k_terms; ++k) {
    const double m = 4.0 * k + 1.0;
    const double y = m * m / (16.0 * x);
    if (y > 300.0) break;
    sum += binomial * std::sqrt(m) * std::exp(-y) * boost::math::cyl_bessel_k(0.25, y);
    binomial *= (k + 0.5) / (k + 1.0);
  }
  return std::clamp(1.0 - sum / (boost::math::constants::pi<double>() * std::sqrt(x)), 0.0, 1.0);
}

Calibration judged(std::span<const double> scores) {
  Calibration found;
  found.rows = scores.size();
  const auto n = static_cast<double>(found.rows);
  const double root = std::sqrt(n);
  found.shift = numeric::sum(scores) / n;
  found.off = std::abs(found.shift) * root > factor_of(found.rows);
  found.reach = reach_of(found.rows);
  double half = factor_of(found.rows) / root;
  if (found.rows > 1) {
    double squares = 0.0;
    for (const double score : scores) squares += (score - found.shift) * (score - found.shift);
    const auto [low, high] = passing_squares(found.rows);
    found.widen = std::sqrt(squares / (n - 1.0));
    found.widen_interval = {std::sqrt(squares / high), std::sqrt(squares / low)};
    found.too_sure = squares > high;
    found.not_sure_enough = squares < low;
    // With another spread the mean has another error, too.
    if (found.too_sure || found.not_sure_enough) {
      half = numeric::student_t_upper_quantile(n - 1.0, k_tail) * found.widen / root;
      found.off = std::abs(found.shift) > half;
    }
  }
  found.shift_interval = {found.shift - half, found.shift + half};
  return found;
}

}  // namespace blendrisk::estimate
