#include "numeric/cholesky.hpp"

#include <Eigen/Cholesky>

namespace blendrisk::numeric {

Cholesky cholesky(const Eigen::MatrixXd& matrix) {
  const Eigen::LLT<Eigen::MatrixXd> factor(matrix);
  return {factor.matrixL(), factor.info() == Eigen::Success};
}

}  // namespace blendrisk::numeric
