#include "learn/chain_fit.hpp"
#include "models/infinity.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

namespace blendrisk::learn {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

/// Whitened residuals; parameters: both levels, the drift over the whole log where it is fitted, ln
/// of the volumes.
struct Residuals {
  using Scalar = double;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };
  using InputType = VectorXd;
  using ValueType = VectorXd;
  using JacobianType = Eigen::MatrixXd;

  const LineModel* model;
  const Bins* bins;
  const Parts* parts;
  const Whitening* whitening;

  int inputs() const { return static_cast<int>(parts->parameters()); }
  Index first_volume() const { return parts->drift ? 3 : 2; }
  /// The drift's parameter stands for so many seconds.
  double span_s() const { return bins->time_s.back() - bins->time_s.front(); }
  int values() const { return static_cast<int>(bins->reading.size()); }

  Volumes volumes(const VectorXd& x) const {
    Volumes v = parts->start;
    Index at = first_volume();
    for (std::size_t i = 0; i < v.size(); ++i) {
      if (parts->fitted[i]) v[i] = std::exp(std::clamp(x[at++], -20.0, 7.0));
    }
    return v;
  }

  VectorXd shown(const VectorXd& x) const {
    const std::vector<double> shares = model->shares(volumes(x));
    VectorXd all(values());
    for (std::size_t i = 0; i < shares.size(); ++i) {
      all[static_cast<Index>(i)] = x[0] + (x[1] - x[0]) * shares[i] +
                                   (parts->drift ? x[2] * bins->time_s[i] / span_s() : 0.0);
    }
    return all;
  }

  int operator()(const VectorXd& x, VectorXd& out) const {
    const Eigen::Map<const VectorXd> readings(bins->reading.data(), values());
    out = (*whitening)(readings - shown(x));
    return 0;
  }
};

struct Solution {
  VectorXd x;
  VectorXd residuals;
  double squares = k_infinity;
};

Solution solve_from(const Residuals& residuals, VectorXd x) {
  Eigen::NumericalDiff<Residuals, Eigen::Central> functor(residuals, 1e-12);
  Eigen::LevenbergMarquardt<decltype(functor)> method(functor);
  method.parameters.maxfev = 2000;
  method.parameters.xtol = 1e-10;
  method.parameters.ftol = 1e-12;
  method.minimize(x);
  VectorXd out(residuals.values());
  residuals(x, out);
  return {x, out, out.squaredNorm()};
}

double mean_of(const std::vector<double>& values, std::size_t from, std::size_t to) {
  const auto begin = values.begin();
  return std::accumulate(begin + static_cast<std::ptrdiff_t>(from),
                         begin + static_cast<std::ptrdiff_t>(to), 0.0) /
         static_cast<double>(to - from);
}

/// The best of several starts: the scenario's volumes, and smaller and larger ones.
Solution solve(const Residuals& residuals) {
  const std::vector<double>& reading = residuals.bins->reading;
  const std::size_t n = reading.size();
  const std::size_t few = std::max<std::size_t>(1, n / 20);
  Solution best;
  for (const double factor : {1.0, 0.4, 2.5}) {
    VectorXd x(residuals.inputs());
    x[0] = mean_of(reading, 0, few);
    x[1] = mean_of(reading, n - few, n);
    if (residuals.parts->drift) x[2] = 0.0;
    Index at = residuals.first_volume();
    for (std::size_t i = 0; i < residuals.parts->start.size(); ++i) {
      if (residuals.parts->fitted[i]) x[at++] = std::log(factor * residuals.parts->start[i]);
    }
    Solution one = solve_from(residuals, x);
    if (std::isfinite(one.squares) && one.squares < best.squares) best = std::move(one);
  }
  return best;
}

Solution solve_near(const Residuals& residuals, const ChainFit& other) {
  VectorXd x(residuals.inputs());
  x[0] = other.before;
  x[1] = other.after;
  if (residuals.parts->drift) x[2] = other.drift * residuals.span_s();
  Index at = residuals.first_volume();
  for (std::size_t i = 0; i < other.volumes.size(); ++i) {
    if (residuals.parts->fitted[i]) x[at++] = std::log(std::max(other.volumes[i], 1e-6));
  }
  return solve_from(residuals, x);
}

/// ∂ fit/∂(levels, drift, volumes): central differences in the volumes themselves.
Eigen::MatrixXd jacobian(const Residuals& residuals, const VectorXd& x) {
  const Index p = x.size();
  Eigen::MatrixXd j(residuals.values(), p);
  VectorXd above(residuals.values());
  VectorXd below(residuals.values());
  for (Index k = 0; k < p; ++k) {
    constexpr double step = 1e-4;  // of a level, or of ln V
    VectorXd moved = x;
    moved[k] = x[k] + step;
    residuals(moved, above);
    moved[k] = x[k] - step;
    residuals(moved, below);
    j.col(k) = (below - above) / (2.0 * step);
    if (k >= residuals.first_volume()) j.col(k) /= std::exp(x[k]);
  }
  return j;
}

/// The inverse of JᵀJ. Directions in which the log says nothing get a variance beyond all use, and
/// leave the others as they are.
Eigen::MatrixXd inverse(const Eigen::MatrixXd& information) {
  constexpr double k_nothing = 1e-11;
  constexpr double k_beyond = 1e12;
  const VectorXd scale = information.diagonal().array().max(1e-300).sqrt().inverse();
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> parts(scale.asDiagonal() * information *
                                                             scale.asDiagonal());
  VectorXd inverses = parts.eigenvalues();
  for (double& value : inverses) value = value > k_nothing ? 1.0 / value : k_beyond;
  const Eigen::MatrixXd vectors = scale.asDiagonal() * parts.eigenvectors();
  return vectors * inverses.asDiagonal() * vectors.transpose();
}

}  // namespace

std::size_t Parts::count() const {
  return static_cast<std::size_t>(std::count(fitted.begin(), fitted.end(), true));
}

Index ChainFit::place(std::size_t part) const {
  Index at = parts.drift ? 3 : 2;
  for (std::size_t i = 0; i < part; ++i) at += parts.fitted[i] ? 1 : 0;
  return at;
}

Parts parts_of(const scenario::Line& line) {
  Parts parts;
  const std::array<const distributions::Distribution*, 3> laws{&line.reservoir, &line.filter,
                                                               &line.pipe};
  for (std::size_t i = 0; i < laws.size(); ++i) {
    const double mean = distributions::mean(*laws[i]);
    parts.fitted[i] = mean > 0.0 || !distributions::is_exact(*laws[i]);
    parts.start[i] = parts.fitted[i] ? std::max(mean, 0.01) : 0.0;
  }
  if (parts.count() == 0) {
    parts.fitted = {true, false, true};
    parts.start = {0.3, 0.0, 0.15};
  }
  return parts;
}

ChainFit fit_chain(const LineModel& model, const Bins& bins, const Parts& parts,
                   const Whitening& whitening, const ChainFit* near) {
  const Residuals residuals{&model, &bins, &parts, &whitening};
  const Solution solution = near != nullptr ? solve_near(residuals, *near) : solve(residuals);
  ChainFit fit;
  fit.parts = parts;
  if (!std::isfinite(solution.squares)) return fit;
  fit.before = solution.x[0];
  fit.after = solution.x[1];
  fit.volumes = residuals.volumes(solution.x);
  fit.squares = solution.squares;
  const VectorXd shown = residuals.shown(solution.x);
  fit.shown.assign(shown.begin(), shown.end());
  fit.residuals.assign(solution.residuals.begin(), solution.residuals.end());
  fit.jacobian = jacobian(residuals, solution.x);
  if (parts.drift) {
    fit.drift = solution.x[2] / residuals.span_s();
    fit.jacobian.col(2) *= residuals.span_s();
  }
  fit.inverse = inverse(fit.jacobian.transpose() * fit.jacobian);
  return fit;
}

Eigen::MatrixXd display_covariance(const ChainFit& fit, const Whitening& whitening, double step,
                                   double noise_sd) {
  constexpr int k_harmonics = 8;
  constexpr double pi = std::numbers::pi;
  const Index p = fit.jacobian.cols();
  Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(p, p);
  if (!(step > 0.0)) return sum;
  for (int k = 1; k <= k_harmonics; ++k) {
    const double frequency = 2.0 * pi * k / step;
    const double height =
        step / (pi * k) * std::exp(-0.5 * frequency * frequency * noise_sd * noise_sd);
    const Eigen::Map<const Eigen::ArrayXd> shown(fit.shown.data(), fit.jacobian.rows());
    Eigen::MatrixX2d waves(fit.jacobian.rows(), 2);
    waves.col(0) = whitening((frequency * shown).cos().matrix());
    waves.col(1) = whitening((frequency * shown).sin().matrix());
    const Eigen::MatrixX2d moved = fit.inverse * (fit.jacobian.transpose() * waves);
    sum += 0.5 * height * height * moved * moved.transpose();
  }
  return sum;
}

}  // namespace blendrisk::learn
