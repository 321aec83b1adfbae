#include "learn/least_squares.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>
#include <utility>
#include <vector>

namespace blendrisk::learn::least_squares_test {
namespace {

using Pairs = std::vector<std::pair<double, double>>;

/// Line through pairs of x and y.
LeastSquares line(const Pairs& pairs) {
  Eigen::MatrixXd design(static_cast<Eigen::Index>(pairs.size()), 2);
  Eigen::VectorXd values(design.rows());
  for (Eigen::Index i = 0; i < design.rows(); ++i) {
    design.row(i) << 1.0, pairs[static_cast<std::size_t>(i)].first;
    values[i] = pairs[static_cast<std::size_t>(i)].second;
  }
  return least_squares(design, values);
}

double error(const LeastSquares& fit, Eigen::Index i) {
  return std::sqrt(fit.variance() * fit.inverse(i, i));
}

// Of columns that depend on each other, and of fewer rows than columns, (XᵀX)⁻¹ is the inverse of
// Moore and Penrose, here by the eigenvalues of XᵀX.
TEST(LeastSquares, WhatTheRowsDoNotTellHasNoError) {
  Eigen::MatrixXd twice(6, 3);
  twice << 1, 2, 4, 1, 3, 6, 1, 5, 10, 1, 7, 14, 1, 8, 16, 1, 11, 22;
  Eigen::MatrixXd wide(2, 3);
  wide << 1, 2, -1, 1, -4, 3;
  Eigen::MatrixXd full = twice;
  full.col(2) << 3, -1, 4, 1, -5, 9;
  for (const Eigen::MatrixXd& design : {twice, wide, full}) {
    const Eigen::VectorXd values = Eigen::VectorXd::LinSpaced(design.rows(), 1.0, 3.0);
    const LeastSquares fit = least_squares(design, values);
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> own(design.transpose() * design);
    Eigen::MatrixXd inverse = Eigen::MatrixXd::Zero(3, 3);
    for (Eigen::Index i = 0; i < 3; ++i) {
      if (own.eigenvalues()[i] < 1e-9) continue;
      const Eigen::VectorXd axis = own.eigenvectors().col(i);
      inverse += axis * axis.transpose() / own.eigenvalues()[i];
    }
    EXPECT_LT((fit.inverse - inverse).norm(), 1e-9 * inverse.norm());
    EXPECT_LT((fit.effects - inverse * design.transpose() * values).norm(), 1e-9);
  }
}

// NIST StRD, Norris (was read in scipy 1.10,
// stats/tests/data/nist_linregress).
TEST(LeastSquares, CertifiedLine) {
  const LeastSquares fit =
      line({{0.2, 0.1},     {337.4, 338.8}, {118.2, 118.1}, {884.6, 888.0}, {10.1, 9.2},
            {226.5, 228.1}, {666.3, 668.5}, {996.3, 998.5}, {448.6, 449.1}, {777.0, 778.9},
            {558.2, 559.2}, {0.4, 0.3},     {0.6, 0.1},     {775.5, 778.1}, {666.9, 668.8},
            {338.0, 339.3}, {447.5, 448.9}, {11.6, 10.8},   {556.0, 557.7}, {228.1, 228.3},
            {995.8, 998.0}, {887.6, 888.8}, {120.2, 119.6}, {0.3, 0.3},     {0.3, 0.6},
            {556.8, 557.6}, {339.1, 339.3}, {887.2, 888.0}, {999.0, 998.5}, {779.0, 778.9},
            {11.1, 10.2},   {118.3, 117.6}, {229.2, 228.9}, {669.1, 668.4}, {448.9, 449.2},
            {0.5, 0.2}});
  EXPECT_NEAR(fit.effects[0], -0.262323073774029, 1e-11);
  EXPECT_NEAR(error(fit, 0), 0.232818234301152, 1e-12);
  EXPECT_NEAR(fit.effects[1], 1.00211681802045, 1e-13);
  EXPECT_NEAR(error(fit, 1), 0.429796848199937e-3, 1e-14);
  EXPECT_NEAR(std::sqrt(fit.variance()), 0.884796396144373, 1e-12);
}

// M. G. Natrella, Experimental Statistics, NBS Handbook 91 (1963), 5-4.1: Young's modulus over
// temperature, as in the tests of a public package; to a unit of the last digit, worked by hand.
TEST(LeastSquares, LineOfAHandbook) {
  const LeastSquares fit = line({{30, 4642},
                                 {100, 4612},
                                 {200, 4565},
                                 {300, 4513},
                                 {400, 4476},
                                 {500, 4433},
                                 {600, 4389},
                                 {700, 4347},
                                 {800, 4303},
                                 {900, 4251},
                                 {1000, 4201},
                                 {1100, 4140},
                                 {1200, 4100},
                                 {1300, 4073},
                                 {1400, 4024},
                                 {1500, 3999}});
  EXPECT_NEAR(fit.effects[1], -0.44985482, 5e-9);
  EXPECT_NEAR(error(fit, 1) * error(fit, 1), 0.000025649045, 1e-12);
  EXPECT_NEAR(fit.effects[0], 4654.9846, 5e-5);
  EXPECT_NEAR(error(fit, 0) * error(fit, 0), 19.879452, 2e-6);
  EXPECT_NEAR(std::sqrt(fit.variance()), 9.277617, 1e-6);
}

// Of clean rows one log in a hundred has a row named, within 4.4 standard errors of 2000, a false
// alarm in 100 000; a row that is 10 standard deviations off is nearly always.
TEST(OutlyingRows, OneCleanLogInAHundredHasOne) {
  std::mt19937_64 random(59);
  std::normal_distribution<double> normal;
  int named = 0;
  int found = 0;
  constexpr int k_logs = 2000;
  for (int log = 0; log < k_logs; ++log) {
    const Eigen::MatrixXd design = Eigen::MatrixXd::Ones(20, 1);
    Eigen::VectorXd values(20);
    for (double& value : values) value = normal(random);
    named += outlying_rows(design, values).empty() ? 0 : 1;
    values[7] += 10.0;
    found += outlying_rows(design, values) == std::vector<std::size_t>{7} ? 1 : 0;
  }
  EXPECT_NEAR(named, 0.01 * k_logs, 4.4 * std::sqrt(0.01 * 0.99 * k_logs));
  EXPECT_GT(found, 0.97 * k_logs);
}

// Two that hide each other are both found.
TEST(OutlyingRows, TwoTogetherAreFound) {
  Eigen::VectorXd values(24);
  for (Eigen::Index i = 0; i < 24; ++i) values[i] = std::sin(1.7 * static_cast<double>(i));
  values[3] = 30.0;
  values[11] = 31.0;
  EXPECT_EQ(outlying_rows(Eigen::MatrixXd::Ones(24, 1), values), (std::vector<std::size_t>{3, 11}));
}

}  // namespace
}  // namespace blendrisk::learn::least_squares_test
