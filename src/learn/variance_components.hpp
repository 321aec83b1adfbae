#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <optional>
#include <vector>

#include "learn/student_law.hpp"

/// Values of groups within larger groups: tests of deliveries of pumps, checks of sensors.
/// value = covariates · effects + outer group + group + residual, all normal and independent.
namespace blendrisk::learn {

/// Of the fixed effects, of which there are few: held without an allocation.
inline constexpr int k_most_effects = 3;
using EffectRow = Eigen::Matrix<double, 1, Eigen::Dynamic, Eigen::RowMajor, 1, k_most_effects>;
using EffectVector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, k_most_effects, 1>;
using EffectMatrix =
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, k_most_effects, k_most_effects>;

/// Variances. A pump's mean about the others', a delivery's about its pump's, a test's about its
/// delivery's.
struct Components {
  double residual = 0.0;
  double group = 0.0;
  double outer = 0.0;
};

/// The values of one group (a delivery).
struct Group {
  std::size_t outer = 0;  ///< place of its outer group (the pump), from 0
  double count = 1.0;
  double mean = 0.0;
  EffectRow covariates;  ///< of the fixed effects, 1 first
};

/// All that the model needs of the values.
struct NestedValues {
  std::vector<Group> groups;
  std::size_t outers = 1;
  double within_squares = 0.0;  ///< of the values about their groups' means
  double count = 0.0;           ///< of values

  double within_dof() const { return count - static_cast<double>(groups.size()); }
  /// Values that count where there is a residual, and where there is none.
  double size(bool noisy) const { return noisy ? count : static_cast<double>(groups.size()); }
  Eigen::Index effects() const { return groups.front().covariates.size(); }
};

/// Whether there is a residual: it is known to be, or groups of several values that differ show it.
bool has_residual(const NestedValues& values, const std::optional<double>& known);

/// One-way values: group by group, with no covariates but 1 and each group an outer one of none.
NestedValues nested(const std::vector<std::vector<double>>& groups);

/// Sums of squares of a one-way table.
struct OneWay {
  double mean = 0.0;  ///< of all values
  double between_squares = 0.0, within_squares = 0.0;
  double between_dof = 0.0, within_dof = 0.0;

  double between_mean_square() const { return between_squares / between_dof; }
  double within_mean_square() const { return within_squares / within_dof; }
  double f() const { return between_mean_square() / within_mean_square(); }
  /// Of an F so large where all groups are alike. @pre both degrees of freedom are above 0, and
  /// within_squares is
  double chance_alike() const;
};
OneWay one_way(const NestedValues& values);

/// What a set of variances makes of the values.
struct NestedFit {
  double criterion = 0.0;      ///< −2 ln of the restricted likelihood
  double likelihood = 0.0;     ///< −2 ln of the full one
  double shape = 0.0;          ///< the criterion without its squares
  double squares = 0.0;        ///< the part of both that a common factor of the variances divides
  EffectVector effects;        ///< of the covariates
  EffectMatrix covariance;     ///< of the effects, given the variances
  std::vector<double> outers;  ///< best predictions of the outer groups' deviations
  std::vector<double> groups;  ///< the same of the groups'
};
/// @pre residual > 0, or no group has two values and group > 0
NestedFit fit_nested(const NestedValues& values, const Components& variances);

/// The variances that make −2 ln of the restricted likelihood smallest (REML); `full` the full one
/// (ML). Those that are told are searched for, the others stay 0.
/// @param residual  known, where given; without it and with no group of two values it is 0
Components estimated(const NestedValues& values, std::optional<double> residual = {},
                     bool full = false);

/// The law of the mean of a further group (the next delivery), without a residual.
/// Averages over what the variances may be: the restricted likelihood under the prior
/// 1/(A B C), A the residual variance, B that of a group's mean and C that of an outer group's
/// (Box and Tiao, Bayesian Inference in Statistical Analysis, 1973, chapter 5; from memory), times
/// the root of B where there are several outer groups, whose bound B ≤ m C would else draw B down;
/// as a t by `matched`. One outer group and single
/// values, or none of a residual, give the t with n − 1 degrees of freedom about the mean with
/// scale s √(1 + 1/n) of ISO 16269-8 (from memory) exactly.
/// @param covariates  where the further group is   @param outer  its outer group; none: a new one
/// @param residual  known, where given
/// @pre more groups than effects; for a new outer group at least two, too
StudentLaw next_group(const NestedValues& values, const EffectRow& covariates,
                      std::optional<std::size_t> outer, std::optional<double> residual = {});

}  // namespace blendrisk::learn
