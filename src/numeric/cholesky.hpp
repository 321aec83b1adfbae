#pragma once

#include <Eigen/Core>

/// The factor of a covariance, compiled in one place.
namespace blendrisk::numeric {

struct Cholesky {
  Eigen::MatrixXd root;   ///< L with matrix = L Lᵀ, lower triangular
  bool definite = false;  ///< whether the matrix is positive definite; if not, root is of no use
};

/// @param matrix  symmetric; its lower triangle is looked at
Cholesky cholesky(const Eigen::MatrixXd& matrix);

}  // namespace blendrisk::numeric
