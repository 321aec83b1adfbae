#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <vector>

/// Linear least squares of few unknowns, and which rows do not belong to the rest.
namespace blendrisk::learn {

struct LeastSquares {
  Eigen::VectorXd effects;
  Eigen::MatrixXd inverse;  ///< (XᵀX)⁻¹; of a direction that the rows do not tell, 0
  Eigen::VectorXd residuals;
  double squares = 0.0;  ///< of the residuals
  double dof = 0.0;      ///< rows less what they tell

  double variance() const { return squares / dof; }
};

/// values = design · effects + errors, by orthogonal decomposition.
LeastSquares least_squares(const Eigen::MatrixXd& design, const Eigen::VectorXd& values);

/// The chance that one more unknown takes so much off the squares where it has no effect: F test of
/// one degree of freedom. @param variance, dof  of the residuals with it
double chance_of_gain(double gain, double variance, double dof);

/// The chance that a further column makes the squares so much smaller where it has no effect: F
/// test of one degree of freedom.
double chance_of_no_effect(const LeastSquares& without, const LeastSquares& with);

/// Rows too far off to be of the same normal law: the generalised test for one to many outliers at
/// 1 % (B. Rosner, Technometrics 25 (1983), 165, from memory) on residuals scaled without their own
/// row, up to one row in ten and one more (of more than
/// 3000 rows fewer, 20 at least), as long as three degrees of freedom are left.
std::vector<std::size_t> outlying_rows(const Eigen::MatrixXd& design,
                                       const Eigen::VectorXd& values);

}  // namespace blendrisk::learn
