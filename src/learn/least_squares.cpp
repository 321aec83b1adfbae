#include "learn/least_squares.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>

#include "numeric/sampling_laws.hpp"

namespace blendrisk::learn {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// How far the row that is farthest off is, in standard errors by the other rows.
struct Farthest {
  Index row = 0;
  double distance = 0.0;
};

Farthest farthest(const MatrixXd& design, const LeastSquares& fit) {
  Farthest found;
  for (Index i = 0; i < design.rows(); ++i) {
    const double lever = (design.row(i) * fit.inverse * design.row(i).transpose()).value();
    const double rest = 1.0 - lever;
    if (!(rest > 1e-9)) continue;
    const double own = fit.residuals[i] * fit.residuals[i] / rest;
    const double others = std::max(fit.squares - own, 0.0) / (fit.dof - 1.0);
    const double distance = others > 0.0 ? std::sqrt(own / others) : own > 0.0 ? 1e9 : 0.0;
    if (distance > found.distance) found = {i, distance};
  }
  return found;
}

}  // namespace

LeastSquares least_squares(const MatrixXd& design, const VectorXd& values) {
  Eigen::CompleteOrthogonalDecomposition<MatrixXd> solver(design);
  LeastSquares fit;
  fit.effects = solver.solve(values);
  // Of the triangle alone: a pseudo-inverse of all rows would take their number squared.
  const Index rank = solver.rank();
  const MatrixXd triangle = solver.matrixT().topLeftCorner(rank, rank);
  MatrixXd root =
      triangle.triangularView<Eigen::Upper>().solve(MatrixXd(MatrixXd::Identity(rank, rank)));
  // Eigen has no Z where the columns are independent.
  if (rank < design.cols()) root = MatrixXd(solver.matrixZ()).topRows(rank).transpose() * root;
  root = solver.colsPermutation() * MatrixXd(root);
  fit.inverse = root * root.transpose();
  fit.residuals = values - design * fit.effects;
  fit.squares = fit.residuals.squaredNorm();
  fit.dof = static_cast<double>(design.rows() - solver.rank());
  return fit;
}

double chance_of_gain(double gain, double variance, double dof) {
  if (!(dof > 0.0) || !(gain > 0.0)) return 1.0;
  if (!(variance > 0.0) || !std::isfinite(gain)) return 0.0;
  return numeric::fisher_f_tail(1.0, dof, gain / variance);
}

double chance_of_no_effect(const LeastSquares& without, const LeastSquares& with) {
  return chance_of_gain(without.squares - with.squares, with.variance(), with.dof);
}

std::vector<std::size_t> outlying_rows(const MatrixXd& design, const VectorXd& values) {
  constexpr double k_chance = 0.01;
  std::vector<Index> left(static_cast<std::size_t>(values.size()));
  std::iota(left.begin(), left.end(), Index{0});
  std::vector<std::size_t> taken;
  std::size_t outlying = 0;
  // Of very long logs fewer: each takes another look at all rows.
  const std::size_t many = std::max<std::size_t>(20, 1'000'000 / left.size());
  const std::size_t most = std::min(left.size() / 10 + 1, many);
  while (taken.size() < most) {
    const MatrixXd rows = design(left, Eigen::all);
    const LeastSquares fit = least_squares(rows, values(left));
    if (fit.dof < 4.0) break;
    const auto [row, distance] = farthest(rows, fit);
    const double chance = k_chance / (2.0 * static_cast<double>(left.size()));
    const double limit = numeric::student_t_upper_quantile(fit.dof - 1.0, chance);
    taken.push_back(static_cast<std::size_t>(left[static_cast<std::size_t>(row)]));
    left.erase(left.begin() + row);
    if (distance > limit) outlying = taken.size();
  }
  taken.resize(outlying);
  std::sort(taken.begin(), taken.end());
  return taken;
}

}  // namespace blendrisk::learn
