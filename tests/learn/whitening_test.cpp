#include "learn/whitening.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>

namespace blendrisk::learn {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

TEST(Whitening, IndependentReadingsAreTakenTimesTheRootOfTheirWeight) {
  const VectorXd white = Whitening({1.0, 4.0, 9.0})(VectorXd::Ones(3));
  EXPECT_EQ(white, Eigen::Vector3d(1.0, 2.0, 3.0));
}

// Generalised least squares by the covariance itself, noise and walk put together by hand: the
// squares are xᵀ C⁻¹ x times the noise's variance.
TEST(Whitening, SquaresAreThoseOfTheCovariance) {
  const std::vector<double> weights{1.0, 2.0, 1.0, 5.0, 1.0};
  const std::vector<double> slopes{0.0, 1.5, -2.0, 0.7, 3.0};
  const std::vector<double> walk{0.0, 0.01, 0.02, 0.3, 0.04};
  constexpr double noise = 0.2;
  MatrixXd covariance = MatrixXd::Zero(5, 5);
  double walked = 0.0;
  for (Index i = 0; i < 5; ++i) {
    const auto at = static_cast<std::size_t>(i);
    walked += walk[at];
    for (Index k = i; k < 5; ++k) {
      // A walk's covariance is the variance at the earlier of the two.
      covariance(i, k) = covariance(k, i) =
          slopes[at] * slopes[static_cast<std::size_t>(k)] * walked;
    }
  }
  for (Index i = 0; i < 5; ++i) {
    covariance(i, i) += noise * noise / weights[static_cast<std::size_t>(i)];
  }
  const Whitening whitening(weights, slopes, walk, noise);
  MatrixXd white(5, 5);
  for (Index i = 0; i < 5; ++i) white.col(i) = whitening(MatrixXd::Identity(5, 5).col(i));
  const MatrixXd wanted = noise * noise * covariance.inverse();
  EXPECT_LT((white.transpose() * white - wanted).norm(), 1e-12 * wanted.norm());
}

}  // namespace
}  // namespace blendrisk::learn
