#include "sampling/given_others.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "numeric/arrays.hpp"

namespace blendrisk::sampling {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();
constexpr double k_smallest = 1e-300;
constexpr std::size_t k_chunk = 512;

/// The normal score with these two tails, from the smaller of them.
double score_of(double lower, double upper) {
  if (!(lower > 0.0)) return -k_infinity;
  if (!(upper > 0.0)) return k_infinity;
  return lower <= upper ? numeric::normal_quantile(std::max(lower, k_smallest))
                        : -numeric::normal_quantile(std::max(upper, k_smallest));
}

/// Of the event X < x.
double score_below(const distributions::Distribution& law, double x) {
  const double before = std::nextafter(x, -k_infinity);
  return score_of(distributions::cdf_below(law, x), distributions::complement(law, before));
}

/// Of the event X <= x.
double score_at_most(const distributions::Distribution& law, double x) {
  return score_of(distributions::cdf(law, x), distributions::complement(law, x));
}

double phi(double z) {
  if (std::isinf(z)) return z > 0.0 ? 1.0 : 0.0;
  return numeric::normal_cdf(z);
}

}  // namespace

ScoreRow score_row(const CaseInputs& inputs, std::span<const std::size_t> before,
                   std::size_t slot) {
  const Correlations& all = inputs.correlations();
  ScoreRow row;
  const auto place = [&all](std::size_t wanted) {
    return static_cast<std::size_t>(std::find(all.slots.begin(), all.slots.end(), wanted) -
                                    all.slots.begin());
  };
  row.column = place(slot);
  if (row.column == all.slots.size()) return row;
  row.correlated = true;
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < all.slots.size(); ++i) {
    if (all.known[i]) order.push_back(i);
  }
  const std::size_t known = order.size();
  for (const std::size_t each : before) {
    const std::size_t i = place(each);
    if (i < all.slots.size()) order.push_back(i);
  }
  order.push_back(row.column);
  const auto n = static_cast<Eigen::Index>(order.size());
  Eigen::MatrixXd scores(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      scores(i, j) = all.scores(static_cast<Eigen::Index>(order[static_cast<std::size_t>(i)]),
                                static_cast<Eigen::Index>(order[static_cast<std::size_t>(j)]));
    }
  }
  // Positive definite: the reader has seen to it, and parts of such a matrix are.
  const Eigen::MatrixXd factor = scores.llt().matrixL();
  const auto known_count = static_cast<Eigen::Index>(known);
  Eigen::VectorXd known_scores(known_count);
  for (std::size_t i = 0; i < known; ++i) {
    known_scores(static_cast<Eigen::Index>(i)) = *all.known[order[i]];
  }
  if (known > 0) {
    factor.topLeftCorner(known_count, known_count)
        .triangularView<Eigen::Lower>()
        .solveInPlace(known_scores);
    row.offset = factor.row(n - 1).head(known_count).dot(known_scores);
  }
  for (Eigen::Index i = known_count; i + 1 < n; ++i) {
    const double weight = factor(n - 1, i);
    if (weight != 0.0) row.weights.emplace_back(order[static_cast<std::size_t>(i)], weight);
  }
  row.own = factor(n - 1, n - 1);
  return row;
}

GivenOthers::GivenOthers(const CaseInputs& inputs, std::span<const std::size_t> drawn,
                         std::size_t slot)
    : law_(inputs[slot].law), row_(score_row(inputs, drawn, slot)) {}

void GivenOthers::centres(const CaseBatch& batch, std::span<double> m) const {
  std::fill(m.begin(), m.end(), row_.offset);
  for (const auto& [column, weight] : row_.weights) {
    const double* e = batch.score(column);
    for (std::size_t i = 0; i < m.size(); ++i) m[i] += weight * e[i];
  }
}

double GivenOthers::centre(const CaseBatch& batch, std::size_t i) const {
  double m = row_.offset;
  for (const auto& [column, weight] : row_.weights) m += weight * batch.score(column)[i];
  return m;
}

double GivenOthers::at_most(double x, double m) const {
  if (!depends()) return distributions::cdf(law_, x);
  return phi((score_at_most(law_, x) - m) / row_.own);
}

double GivenOthers::below(double x, double m) const {
  if (!depends()) return distributions::cdf_below(law_, x);
  return phi((score_below(law_, x) - m) / row_.own);
}

double GivenOthers::above(double x, double m) const {
  if (!depends()) return distributions::complement(law_, x);
  return phi(-(score_at_most(law_, x) - m) / row_.own);
}

void GivenOthers::below(std::span<const double> x, std::span<const double> m,
                        std::span<double> p) const {
  if (!depends()) return distributions::cdf_below(law_, x, p);
  std::array<double, k_chunk> before;  // NOLINT: written before it is read
  std::array<double, k_chunk> upper;   // NOLINT: written before it is read
  for (std::size_t from = 0; from < p.size(); from += k_chunk) {
    const std::size_t n = std::min(k_chunk, p.size() - from);
    for (std::size_t i = 0; i < n; ++i) before[i] = std::nextafter(x[from + i], -k_infinity);
    distributions::complement(law_, std::span(before).first(n), std::span(upper).first(n));
    distributions::cdf_below(law_, x.subspan(from, n), p.subspan(from, n));
    for (std::size_t i = 0; i < n; ++i) {
      const double centre = m.empty() ? row_.offset : m[from + i];
      p[from + i] = phi((score_of(p[from + i], upper[i]) - centre) / row_.own);
    }
  }
}

void GivenOthers::above(std::span<const double> x, std::span<const double> m,
                        std::span<double> p) const {
  if (!depends()) return distributions::complement(law_, x, p);
  std::array<double, k_chunk> after;  // NOLINT: written before it is read
  std::array<double, k_chunk> lower;  // NOLINT: written before it is read
  for (std::size_t from = 0; from < p.size(); from += k_chunk) {
    const std::size_t n = std::min(k_chunk, p.size() - from);
    for (std::size_t i = 0; i < n; ++i) after[i] = std::nextafter(x[from + i], k_infinity);
    distributions::cdf_below(law_, std::span(after).first(n), std::span(lower).first(n));
    distributions::complement(law_, x.subspan(from, n), p.subspan(from, n));
    for (std::size_t i = 0; i < n; ++i) {
      const double centre = m.empty() ? row_.offset : m[from + i];
      p[from + i] = phi(-(score_of(lower[i], p[from + i]) - centre) / row_.own);
    }
  }
}

namespace {

/// P(A' and B') for events of scores below z_a and z_b.
double both(const CaseInputs& inputs, std::size_t slot_a, std::size_t slot_b, double z_a,
            double z_b) {
  const ScoreRow a = score_row(inputs, {}, slot_a);
  const ScoreRow b = score_row(inputs, {}, slot_b);
  const ScoreRow joint = score_row(inputs, std::span(&slot_a, 1), slot_b);
  const double r = joint.weights.empty() ? 0.0 : joint.weights.front().second / b.own;
  return bivariate_normal_cdf((z_a - a.offset) / a.own, (z_b - b.offset) / b.own, r);
}

}  // namespace

double chance_of_either_below(const CaseInputs& inputs, std::size_t slot_a, double a,
                              std::size_t slot_b, double b) {
  const double below_a =
      GivenOthers(inputs, {}, slot_a).below(a, score_row(inputs, {}, slot_a).offset);
  const double below_b =
      GivenOthers(inputs, {}, slot_b).below(b, score_row(inputs, {}, slot_b).offset);
  const ScoreRow joint = score_row(inputs, std::span(&slot_a, 1), slot_b);
  if (joint.weights.empty()) return below_a * (1.0 - below_b) + below_b;
  const double together = both(inputs, slot_a, slot_b, score_below(inputs[slot_a].law, a),
                               score_below(inputs[slot_b].law, b));
  return std::clamp(below_a + below_b - together, std::max(below_a, below_b), 1.0);
}

double chance_of_both_at_most(const CaseInputs& inputs, std::size_t slot_a, double a,
                              std::size_t slot_b, double b) {
  const double at_most_a =
      GivenOthers(inputs, {}, slot_a).at_most(a, score_row(inputs, {}, slot_a).offset);
  const double at_most_b =
      GivenOthers(inputs, {}, slot_b).at_most(b, score_row(inputs, {}, slot_b).offset);
  const ScoreRow joint = score_row(inputs, std::span(&slot_a, 1), slot_b);
  if (joint.weights.empty()) return at_most_a * at_most_b;
  return both(inputs, slot_a, slot_b, score_at_most(inputs[slot_a].law, a),
              score_at_most(inputs[slot_b].law, b));
}

double bivariate_normal_cdf(double h, double k, double r) {
  if (std::isinf(h) || std::isinf(k)) {
    if (h == -k_infinity || k == -k_infinity) return 0.0;
    return phi(std::min(h, k));
  }
  const auto slope = [h, k](double angle) {
    const double cosine = std::cos(angle);
    return std::exp(-0.5 * (h * h + k * k - 2.0 * h * k * std::sin(angle)) / (cosine * cosine));
  };
  using boost::math::quadrature::gauss_kronrod;
  const double independent = numeric::normal_cdf(h) * numeric::normal_cdf(k);
  const double rest = gauss_kronrod<double, 31>::integrate(slope, 0.0, std::asin(r), 10, 1e-12);
  return std::clamp(independent + rest / (2.0 * std::numbers::pi), 0.0,
                    std::min(numeric::normal_cdf(h), numeric::normal_cdf(k)));
}

}  // namespace blendrisk::sampling
