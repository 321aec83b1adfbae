#include "learn/variance_components.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <cmath>
#include <numbers>

#include "numeric/sampling_laws.hpp"

namespace blendrisk::learn {
namespace {

/// Searched in logarithms of ratios of variances, this far on either side of 1.
constexpr double k_far = 25.0;

/// The smallest value of f over logarithms and where it lies: a scan, then Brent's method.
/// @param bits  of the place; half of a double's are all that a minimum tells
template <class F>
std::pair<double, double> smallest(const F& f, int bits) {
  constexpr double k_stride = 2.5;
  double best = -k_far;
  double lowest = f(best);
  for (double x = -k_far + k_stride; x <= k_far; x += k_stride) {
    const double value = f(x);
    if (value < lowest) {
      lowest = value;
      best = x;
    }
  }
  return boost::math::tools::brent_find_minima(f, best - k_stride, best + k_stride, bits);
}

/// Of the full or restricted likelihood, with the scale that suits best where it is free.
struct Profile {
  const NestedValues& values;
  std::optional<double> residual;
  bool full;

  double of(const Components& variances) const {
    const NestedFit fit = fit_nested(values, variances);
    return full ? fit.likelihood : fit.criterion;
  }
  /// The same ratios at their best scale.
  Components scaled(Components ratios) const {
    if (residual && *residual > 0.0) return ratios;
    const double n =
        values.size(ratios.residual > 0.0) - (full ? 0.0 : static_cast<double>(values.effects()));
    const double t = fit_nested(values, ratios).squares / n;
    return {t * ratios.residual, t * ratios.group, t * ratios.outer};
  }
};

}  // namespace

bool has_residual(const NestedValues& values, const std::optional<double>& known) {
  return known ? *known > 0.0 : values.within_dof() > 0.0 && values.within_squares > 0.0;
}

NestedValues nested(const std::vector<std::vector<double>>& groups) {
  NestedValues values;
  for (const std::vector<double>& of_one : groups) {
    if (of_one.empty()) continue;
    Group group{0, static_cast<double>(of_one.size()), 0.0, EffectRow::Ones(1)};
    // About the first value, so that large values that hardly differ keep their digits.
    for (const double value : of_one) group.mean += value - of_one.front();
    group.mean = of_one.front() + group.mean / group.count;
    for (const double value : of_one) {
      values.within_squares += (value - group.mean) * (value - group.mean);
    }
    values.count += group.count;
    values.groups.push_back(std::move(group));
  }
  return values;
}

double OneWay::chance_alike() const {
  return numeric::fisher_f_tail(between_dof, within_dof, f());
}

OneWay one_way(const NestedValues& values) {
  OneWay table;
  const double origin = values.groups.front().mean;
  for (const Group& group : values.groups) table.mean += group.count * (group.mean - origin);
  table.mean = origin + table.mean / values.count;
  for (const Group& group : values.groups) {
    table.between_squares += group.count * (group.mean - table.mean) * (group.mean - table.mean);
  }
  table.within_squares = values.within_squares;
  table.between_dof = static_cast<double>(values.groups.size()) - 1.0;
  table.within_dof = values.within_dof();
  return table;
}

NestedFit fit_nested(const NestedValues& values, const Components& variances) {
  const Eigen::Index p = values.effects();
  const double origin = values.groups.front().mean;
  struct Sums {
    double weight = 0.0, value = 0.0;
    EffectRow covariates;
  };
  std::vector<Sums> outers(values.outers, {0.0, 0.0, EffectRow::Zero(p)});
  const auto weight_of = [&](const Group& group) {
    return 1.0 / (variances.group + variances.residual / group.count);
  };
  double log_determinant = 0.0;
  for (const Group& group : values.groups) {
    const double weight = weight_of(group);
    log_determinant += std::log(group.count / weight);
    Sums& sums = outers[group.outer];
    sums.weight += weight;
    sums.value += weight * (group.mean - origin);
    sums.covariates += weight * group.covariates;
  }
  EffectMatrix normal = EffectMatrix::Zero(p, p);
  EffectVector right = EffectVector::Zero(p);
  double squares = 0.0;
  const auto add = [&](double weight, double value, const EffectRow& covariates) {
    squares += weight * value * value;
    normal.noalias() += weight * covariates.transpose().lazyProduct(covariates);
    right += weight * value * covariates.transpose();
  };
  // The outer groups' means, and the groups about them: nothing large is taken from another.
  std::vector<double> shares(values.outers);
  for (std::size_t i = 0; i < values.outers; ++i) {
    Sums& sums = outers[i];
    sums.value /= sums.weight;
    sums.covariates /= sums.weight;
    const double scaled = 1.0 + variances.outer * sums.weight;
    shares[i] = variances.outer * sums.weight / scaled;
    log_determinant += std::log(scaled);
    add(sums.weight / scaled, sums.value, sums.covariates);
  }
  for (const Group& group : values.groups) {
    const Sums& sums = outers[group.outer];
    add(weight_of(group), group.mean - origin - sums.value, group.covariates - sums.covariates);
  }
  const Eigen::LDLT<EffectMatrix> solver(normal);
  NestedFit fit;
  fit.effects = solver.solve(right);
  fit.covariance = solver.solve(EffectMatrix::Identity(p, p));
  squares = std::max(squares - fit.effects.dot(right), 0.0);
  if (values.within_dof() > 0.0 && variances.residual > 0.0) {
    log_determinant += values.within_dof() * std::log(variances.residual);
    squares += values.within_squares / variances.residual;
  }
  const double two_pi = std::log(2.0 * std::numbers::pi);
  fit.squares = squares;
  const double count = values.count * two_pi + log_determinant;
  fit.likelihood = count + squares;
  fit.shape = count - static_cast<double>(p) * two_pi + std::log(std::abs(solver.vectorD().prod()));
  fit.criterion = fit.shape + squares;
  for (std::size_t i = 0; i < values.outers; ++i) {
    const Sums& sums = outers[i];
    fit.outers.push_back(shares[i] * (sums.value - (sums.covariates * fit.effects).value()));
  }
  for (const Group& group : values.groups) {
    const double off = group.mean - origin - (group.covariates * fit.effects).value();
    fit.groups.push_back(variances.group * weight_of(group) * (off - fit.outers[group.outer]));
  }
  fit.effects[0] += origin;
  return fit;
}

Components estimated(const NestedValues& values, std::optional<double> residual, bool full) {
  const Profile profile{values, residual, full};
  const bool noisy = has_residual(values, residual);
  const bool nested = values.outers > 1 && values.groups.size() > values.outers;
  const double unit = residual && *residual > 0.0 ? *residual : 1.0;
  Components best;
  double lowest = std::numeric_limits<double>::infinity();
  const auto offered = [&](const Components& ratios) {
    const Components variances = profile.scaled(ratios);
    const double value = profile.of(variances);
    if (value < lowest) {
      lowest = value;
      best = variances;
    }
    return value;
  };
  // Without a residual the groups' variance is the unit; all of it may be the residual's or, of
  // outer groups, theirs.
  const auto over_outer = [&](double residual_ratio, double group_ratio) {
    const double without = offered({residual_ratio * unit, group_ratio * unit, 0.0});
    if (!nested) return without;
    const auto with = [&](double x) {
      return offered({residual_ratio * unit, group_ratio * unit, std::exp(x) * unit});
    };
    return std::min(without, smallest(with, 18).second);
  };
  if (!noisy) {
    over_outer(0.0, 1.0);
    return best;
  }
  over_outer(1.0, 0.0);
  smallest([&](double x) { return over_outer(1.0, std::exp(x)); }, nested ? 18 : 30);
  return best;
}

}  // namespace blendrisk::learn
