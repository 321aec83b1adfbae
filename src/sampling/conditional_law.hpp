#pragma once

#include <span>
#include <utility>
#include <vector>

#include "sampling/case_inputs.hpp"

/// Correlated inputs one after another: each given those before it.
namespace blendrisk::sampling {

/// The normal score of an input given those before it, z = offset + Σ weight e + own e', where e
/// are the independent standard normal scores of those before (columns of CaseBatch::score) and e'
/// is its own: a row of the Cholesky factor of the scores' correlations.
struct ScoreRow {
  double own = 1.0;
  double offset = 0.0;                                  ///< from inputs that are known
  std::vector<std::pair<std::size_t, double>> weights;  ///< column, weight
  std::size_t column = 0;                               ///< where e' goes
  bool correlated = false;  ///< with any input of the scenario, drawn or known

  bool depends() const { return offset != 0.0 || own != 1.0 || !weights.empty(); }
};

/// The row of `slot` after the inputs `before`, in the order in which they are drawn. The factor's
/// rows do not depend on those after them.
ScoreRow score_row(const CaseInputs& inputs, std::span<const std::size_t> before, std::size_t slot);

/// The law of one input, not held within its physical range, given the scores of others.
class ConditionalLaw {
 public:
  /// @param drawn  the inputs that are given, in the order in which they are drawn, without `slot`
  ConditionalLaw(const CaseInputs& inputs, std::span<const std::size_t> drawn, std::size_t slot);

  bool depends() const { return row_.depends(); }
  /// Standard deviation of the score: 1 where the others tell nothing.
  double own() const { return row_.own; }
  const ScoreRow& row() const { return row_; }

  /// The means of the score in the first room.size() cases of a batch, in `room`; none where the
  /// others tell nothing.
  std::span<const double> centres(const CaseBatch& batch, std::span<double> room) const;
  double centre(const CaseBatch& batch, std::size_t i) const;

  /// p[i] = P(X < x[i]), or P(X > x[i]), given centres m; output as long as input, and may be it.
  void below(std::span<const double> x, std::span<const double> m, std::span<double> p) const;
  void above(std::span<const double> x, std::span<const double> m, std::span<double> p) const;
  /// P(X <= x), P(X < x) and P(X > x) of one.
  double at_most(double x, double m) const;
  double below(double x, double m) const;
  double above(double x, double m) const;

 private:
  enum class Tail { lower, upper };
  void tail(Tail which, std::span<const double> x, std::span<const double> m,
            std::span<double> p) const;

  distributions::Distribution law_;
  ScoreRow row_;
};

/// P(A < a or B < b) for two inputs, also where they are correlated.
double chance_of_either_below(const CaseInputs& inputs, std::size_t slot_a, double a,
                              std::size_t slot_b, double b);
/// P(A <= a and B <= b).
double chance_of_both_at_most(const CaseInputs& inputs, std::size_t slot_a, double a,
                              std::size_t slot_b, double b);

/// P(Z1 < h and Z2 < k) for standard normal Z1, Z2 of correlation r, |r| < 1: by integrating its
/// derivative over the angle, dΦ2/dr being the density (R. L. Plackett, Biometrika 41, 1954; Z.
/// Drezner and G. O. Wesolowsky, Journal of Statistical Computation and Simulation 35, 1990; from
/// memory), with Boost.Math's Gauss-Kronrod rule. Absolute error below 1e-12.
double bivariate_normal_cdf(double h, double k, double r);

}  // namespace blendrisk::sampling
