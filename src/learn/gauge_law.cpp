#include "learn/gauge_law.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "learn/least_squares.hpp"
#include "models/sensor.hpp"
#include "numeric/sampling_laws.hpp"

namespace blendrisk::learn {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double k_slope_chance = 0.01;
/// Stands for an exact click-off: a millilitre.
constexpr double k_least_sd = 1e-3;

/// Rows of T, α and β, and where each comes from; and totals, which tell T alone.
struct Equations {
  MatrixXd design;
  VectorXd values;
  std::vector<std::size_t> rows;
  std::vector<double> totals;
};

Equations equations_of(const std::vector<GaugeRow>& rows, const GaugeQuestion& question,
                       double mean_indicated) {
  std::vector<std::pair<Vector3d, double>> all;
  Equations equations;
  const auto add = [&](std::size_t row, const Vector3d& of, double value) {
    all.emplace_back(of, value);
    equations.rows.push_back(row);
  };
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const GaugeRow& row = rows[i];
    const double x = row.indicated - mean_indicated;
    const double given = row.shown.value_or(0.0) * (1.0 + question.meter_error);
    if (row.heel) add(i, {0.0, 1.0, x}, *row.heel - row.indicated);
    if (row.heel && row.shown) equations.totals.push_back(given + *row.heel);
    if (!row.heel && row.shown) add(i, {1.0, -1.0, -x}, given + row.indicated);
  }
  equations.design.resize(static_cast<Index>(all.size()), 3);
  equations.values.resize(static_cast<Index>(all.size()));
  for (Index i = 0; i < equations.values.size(); ++i) {
    equations.design.row(i) = all[static_cast<std::size_t>(i)].first.transpose();
    equations.values[i] = all[static_cast<std::size_t>(i)].second;
  }
  return equations;
}

/// What is known of T beside the rows: the scenario's law and measured totals.
struct Total {
  double mean = 0.0, precision = 0.0;
};

/// 0 for fewer than two.
double sample_variance(const std::vector<double>& values) {
  const auto n = static_cast<double>(values.size());
  double mean = 0.0;
  for (const double one : values) mean += one / n;
  double squares = 0.0;
  for (const double one : values) squares += (one - mean) * (one - mean);
  return n > 1.0 ? squares / (n - 1.0) : 0.0;
}

Total total_of(const GaugeQuestion& question, const std::vector<double>& totals, double variance) {
  const double sd = std::max(question.click_off_sd, k_least_sd);
  Total total{question.click_off, 1.0 / (sd * sd)};
  if (totals.empty()) return total;
  const auto n = static_cast<double>(totals.size());
  double mean = 0.0;
  for (const double one : totals) mean += one / n;
  const double precision = n / std::max(variance, sample_variance(totals));
  const double both = total.precision + precision;
  return {(total.mean * total.precision + mean * precision) / both, both};
}

/// What the rows and the scenario say together where the scatter's variance is known.
struct Joint {
  Eigen::VectorXd mean;
  Eigen::MatrixXd covariance;
};

Joint joint(const MatrixXd& design, const VectorXd& values, const Total& total, double variance) {
  MatrixXd precision = design.transpose() * design / variance;
  precision(0, 0) += total.precision;
  // About what is known of T, so that nothing large is taken from another.
  const VectorXd origin = VectorXd::Unit(design.cols(), 0) * total.mean;
  const VectorXd right = design.transpose() * (values - design * origin) / variance;
  const Eigen::LDLT<MatrixXd> solver(precision);
  return {origin + solver.solve(right),
          solver.solve(MatrixXd::Identity(design.cols(), design.cols()))};
}

/// The variance of the next fill's total: never more than the scenario says, but where measured
/// totals scatter more, and no less than T's own and what fills may differ by, which the gauge's
/// scatter holds too.
double next_total(double known, double variance, const GaugeQuestion& question,
                  const std::vector<double>& totals) {
  const double most = question.click_off_sd * question.click_off_sd;
  return std::max(std::min(most, known + std::min(most, variance)), sample_variance(totals));
}

/// Variances that the scatter may have and their weights, w = squares/χ²: a grid in ln w.
template <class Use>
void over_variances(const LeastSquares& fit, const Use& use) {
  constexpr int k_points = 48;
  const double low = std::log(fit.squares / numeric::chi_squared_upper_quantile(fit.dof, 1e-5));
  const double high = std::log(fit.squares / numeric::chi_squared_quantile(fit.dof, 1e-5));
  for (int i = 0; i <= k_points; ++i) {
    const double variance = std::exp(low + (high - low) * i / k_points);
    const double ratio = fit.squares / variance;
    use(variance, numeric::chi_squared_density(fit.dof, ratio) * ratio);
  }
}

/// The laws from the rows that are kept. @param columns  of the design: 3 with a slope
void set_laws(const MatrixXd& design, const VectorXd& values, const LeastSquares& fit,
              const std::vector<double>& totals, const GaugeQuestion& question, double at,
              double mean_shown, bool told_apart, GaugeLaws& laws) {
  VectorXd lever = VectorXd::Zero(design.cols());
  lever[1] = 1.0;
  if (lever.size() > 2) lever[2] = at;
  const double meter = mean_shown * question.meter_error_sd;
  const double rounding = models::rounding_variance(question.step);
  std::vector<Part> errors;
  std::vector<Part> volumes;
  over_variances(fit, [&](double drawn, double weight) {
    const double variance = std::max(drawn, rounding);
    const Joint known = joint(design, values, total_of(question, totals, variance), variance);
    const double spread =
        lever.dot(known.covariance * lever) + variance + (told_apart ? 0.0 : meter * meter);
    errors.push_back({weight, lever.dot(known.mean), std::sqrt(spread - rounding), k_normal_dof});
    const double total = next_total(known.covariance(0, 0), variance, question, totals);
    volumes.push_back({weight, known.mean[0], std::sqrt(total), k_normal_dof});
  });
  laws.error = matched(errors);
  if (question.click_off_sd == 0.0) return;
  if (told_apart) laws.click_off = matched(volumes);
  // That click-off less the error scatters as the log's fills do.
  const double variance = std::max(fit.variance(), rounding);
  const Joint known = joint(design, values, total_of(question, totals, variance), variance);
  VectorXd taken = -lever;
  taken[0] = 1.0;
  const double click_off = told_apart
                               ? next_total(known.covariance(0, 0), variance, question, totals)
                               : question.click_off_sd * question.click_off_sd;
  const double error = lever.dot(known.covariance * lever) + variance;
  const double both = taken.dot(known.covariance * taken) + variance;
  constexpr double k_most = 0.99;
  const double r = std::clamp((click_off + error - both) / (2.0 * std::sqrt(click_off * error)),
                              -k_most, k_most);
  laws.rank_correlation = 6.0 / std::numbers::pi * std::asin(0.5 * r);
}

}  // namespace

GaugeLaws gauge_laws(const std::vector<GaugeRow>& rows, const GaugeQuestion& question) {
  double mean_indicated = 0.0;
  double mean_shown = 0.0;
  double shown = 0.0;
  for (const GaugeRow& row : rows) {
    mean_indicated += row.indicated / static_cast<double>(rows.size());
    mean_shown += row.shown.value_or(0.0);
    shown += row.shown ? 1.0 : 0.0;
  }
  if (shown > 0.0) mean_shown /= shown;
  const Equations all = equations_of(rows, question, mean_indicated);
  GaugeLaws laws;
  laws.step_l = question.step;
  // A slope takes a row's worth of what tells an outlier.
  const bool many = rows.size() >= 8;
  std::vector<std::size_t> off =
      outlying_rows(many ? all.design : all.design.leftCols(2), all.values);
  std::vector<Index> kept;
  for (std::size_t i = 0; i < all.rows.size(); ++i) {
    if (std::ranges::binary_search(off, i)) {
      laws.off.push_back(all.rows[i]);
      continue;
    }
    kept.push_back(static_cast<Index>(i));
    const GaugeRow& row = rows[all.rows[i]];
    if (row.heel) ++laws.heels;
    if (row.shown) ++laws.fills;
  }
  const MatrixXd design = all.design(kept, Eigen::all);
  const VectorXd values = all.values(kept);
  LeastSquares fit = least_squares(design.leftCols(2), values);
  if (fit.dof < 1.0) {
    laws.none = NoGaugeLaw::few_rows;
    return laws;
  }
  if (!(fit.squares > 1e-18 * values.squaredNorm())) {
    laws.none = NoGaugeLaw::all_equal;
    return laws;
  }
  const VectorXd slopes = design.col(2);
  laws.constant = !(slopes.cwiseAbs().maxCoeff() > 1e-9);
  Index columns = 2;
  if (!laws.constant && kept.size() >= 4) {
    const LeastSquares line = least_squares(design, values);
    laws.slope_chance = chance_of_no_effect(fit, line);
    if (laws.slope_chance < k_slope_chance && line.dof >= 1.0) {
      fit = line;
      columns = 3;
      laws.slope = line.effects[2];
    }
  }
  laws.scatter = std::sqrt(fit.variance());
  laws.step_explains_all = models::rounding_variance(question.step) >= fit.variance();
  // T and α are told apart by measured heels of fills to click-off, or beside such fills.
  const bool told_apart = laws.heels > 0 && laws.fills > 0;
  set_laws(design.leftCols(columns), values, fit, all.totals, question,
           question.at - mean_indicated, mean_shown, told_apart, laws);
  return laws;
}

}  // namespace blendrisk::learn
