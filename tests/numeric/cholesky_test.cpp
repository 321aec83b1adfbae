#include "numeric/cholesky.hpp"

#include <gtest/gtest.h>

namespace blendrisk::numeric {
namespace {

TEST(Cholesky, TheRootTimesItselfIsTheMatrix) {
  Eigen::MatrixXd matrix(3, 3);
  matrix << 4.0, 1.0, -0.5, 1.0, 2.0, 0.25, -0.5, 0.25, 1.0;
  const auto [root, definite] = cholesky(matrix);
  ASSERT_TRUE(definite);
  EXPECT_LT((root * root.transpose() - matrix).cwiseAbs().maxCoeff(), 1e-15);
  EXPECT_EQ(root(0, 1), 0.0);
  EXPECT_EQ(root(0, 2), 0.0);
  EXPECT_EQ(root(1, 2), 0.0);
  EXPECT_GT(root.diagonal().minCoeff(), 0.0);
}

TEST(Cholesky, CorrelationsThatCannotBeTogetherAreToldFromThoseThatCan) {
  // Of x with y and with z 0.9, of y with z −0.9: not of any law; 0.9 thrice is.
  Eigen::MatrixXd matrix = Eigen::MatrixXd::Constant(3, 3, 0.9);
  matrix.diagonal().setOnes();
  EXPECT_TRUE(cholesky(matrix).definite);
  matrix(1, 2) = matrix(2, 1) = -0.9;
  EXPECT_FALSE(cholesky(matrix).definite);
}

}  // namespace
}  // namespace blendrisk::numeric
