#include "sampling/conditional_law.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <numbers>

#include "models/infinity.hpp"
#include "numeric/cholesky.hpp"
#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::sampling {
namespace {

constexpr double k_smallest = 1e-300;

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

// Of scores given the others.
BLENDRISK_CLONES void given_loop(double* score, const double* m, double sign, double own,
                                 std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) score[i] = (score[i] - sign * m[i]) / own;
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
      const std::size_t row_of = order[static_cast<std::size_t>(i)];
      scores(i, j) = all.scores[row_of * all.slots.size() + order[static_cast<std::size_t>(j)]];
    }
  }
  // Positive definite: the reader has seen to it, and parts of such a matrix are.
  const Eigen::MatrixXd factor = numeric::cholesky(scores).root;
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

ConditionalLaw::ConditionalLaw(const CaseInputs& inputs, std::span<const std::size_t> drawn,
                               std::size_t slot)
    : law_(inputs[slot].law), row_(score_row(inputs, drawn, slot)) {}

std::span<const double> ConditionalLaw::centres(const CaseBatch& batch,
                                                std::span<double> room) const {
  if (!depends()) return {};
  std::fill(room.begin(), room.end(), row_.offset);
  for (const auto& [column, weight] : row_.weights) {
    const double* e = batch.score(column);
    for (std::size_t i = 0; i < room.size(); ++i) room[i] += weight * e[i];
  }
  return room;
}

double ConditionalLaw::centre(const CaseBatch& batch, std::size_t i) const {
  double m = row_.offset;
  for (const auto& [column, weight] : row_.weights) m += weight * batch.score(column)[i];
  return m;
}

double ConditionalLaw::at_most(double x, double m) const {
  if (!depends()) return distributions::cdf(law_, x);
  return phi((score_at_most(law_, x) - m) / row_.own);
}

double ConditionalLaw::below(double x, double m) const {
  if (!depends()) return distributions::cdf_below(law_, x);
  return phi((score_below(law_, x) - m) / row_.own);
}

double ConditionalLaw::above(double x, double m) const {
  if (!depends()) return distributions::complement(law_, x);
  return phi(-(score_at_most(law_, x) - m) / row_.own);
}

void ConditionalLaw::below(std::span<const double> x, std::span<const double> m,
                           std::span<double> p) const {
  tail(Tail::lower, x, m, p);
}

void ConditionalLaw::above(std::span<const double> x, std::span<const double> m,
                           std::span<double> p) const {
  tail(Tail::upper, x, m, p);
}

// The upper tail is the lower one with everything mirrored.
void ConditionalLaw::tail(Tail which, std::span<const double> x, std::span<const double> m,
                          std::span<double> p) const {
  const bool lower = which == Tail::lower;
  if (!depends()) {
    return lower ? distributions::cdf_below(law_, x, p) : distributions::complement(law_, x, p);
  }
  distributions::score(law_, !lower, x, p);
  given_loop(p.data(), m.data(), lower ? 1.0 : -1.0, row_.own, p.size());
  numeric::normal_cdf(p, p);
}

namespace {

/// Two inputs with nothing else drawn.
struct Two {
  Two(const CaseInputs& inputs, std::size_t slot_a, std::size_t slot_b)
      : a(inputs, {}, slot_a),
        b(inputs, {}, slot_b),
        b_given_a(score_row(inputs, std::span(&slot_a, 1), slot_b)) {}

  bool independent() const { return b_given_a.weights.empty(); }

  /// P(A' and B') of correlated ones for the events that their scores lie below z_a and z_b.
  double both(double z_a, double z_b) const {
    const ScoreRow& of_a = a.row();
    const ScoreRow& of_b = b.row();
    return bivariate_normal_cdf((z_a - of_a.offset) / of_a.own, (z_b - of_b.offset) / of_b.own,
                                b_given_a.weights.front().second / of_b.own);
  }

  ConditionalLaw a, b;
  ScoreRow b_given_a;
};

}  // namespace

double chance_of_either_below(const CaseInputs& inputs, std::size_t slot_a, double a,
                              std::size_t slot_b, double b) {
  const Two two(inputs, slot_a, slot_b);
  const double below_a = two.a.below(a, two.a.row().offset);
  const double below_b = two.b.below(b, two.b.row().offset);
  if (two.independent()) return below_a * (1.0 - below_b) + below_b;
  const double together =
      two.both(score_below(inputs[slot_a].law, a), score_below(inputs[slot_b].law, b));
  return std::clamp(below_a + below_b - together, std::max(below_a, below_b), 1.0);
}

double chance_of_both_at_most(const CaseInputs& inputs, std::size_t slot_a, double a,
                              std::size_t slot_b, double b) {
  const Two two(inputs, slot_a, slot_b);
  if (two.independent()) {
    return two.a.at_most(a, two.a.row().offset) * two.b.at_most(b, two.b.row().offset);
  }
  return two.both(score_at_most(inputs[slot_a].law, a), score_at_most(inputs[slot_b].law, b));
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
