#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>

#include "learn/variance_components.hpp"

namespace blendrisk::learn {
namespace {

/// One point of the grid: logarithms of the residual's and of the outer groups' variance over that
/// of a group's mean.
struct Place {
  double residual = 0.0, outer = 0.0;
};

struct Range {
  double low = 0.0, high = 0.0;
  std::size_t points = 1;

  double at(std::size_t i) const {
    if (points == 1) return low;
    return low + (high - low) * static_cast<double>(i) / static_cast<double>(points - 1);
  }
  double stride() const {
    return points > 1 ? (high - low) / static_cast<double>(points - 1) : 0.0;
  }
  /// What lies around [first, last] by one stride, in as many points as wanted.
  Range around(double first, double last, std::size_t wanted) const {
    if (points == 1) return *this;
    return {std::max(low, first - stride()), std::min(high, last + stride()), wanted};
  }
};

/// What the values say at one ratio of the variances.
struct Weighed {
  Place place;
  double log_weight = 0.0;
  Part part;
};

class Posterior {
 public:
  Posterior(const NestedValues& values, const EffectRow& covariates,
            std::optional<std::size_t> outer, std::optional<double> residual)
      : values_(values), covariates_(covariates), outer_(outer) {
    double inverse = 0.0;
    for (const Group& group : values.groups) inverse += 1.0 / group.count;
    const auto groups = static_cast<double>(values.groups.size());
    typical_count_ = groups / inverse;
    per_outer_ = groups / static_cast<double>(values.outers);
    known_ = residual && *residual > 0.0 ? *residual : 0.0;
    noisy_ = has_residual(values, residual);
  }

  StudentLaw law() const {
    const double most = std::log(typical_count_);
    Range residual = noisy_ ? Range{most - k_span, most, k_points} : Range{};
    const double least = -std::log(per_outer_);
    const bool outers = values_.outers > 1;
    Range outer = outers ? Range{least, least + k_span, k_points} : Range{};
    std::vector<Weighed> points;
    for (int zoom = 0; zoom < 3; ++zoom) {
      points = over(residual, outer);
      if (zoom == 2) break;
      const double deep = zoom == 0 ? 40.0 : 18.0;
      const double top = highest(points);
      Place low{k_span, 2.0 * k_span};
      Place high{-2.0 * k_span, -k_span};
      for (const Weighed& point : points) {
        if (point.log_weight < top - deep) continue;
        low.residual = std::min(low.residual, point.place.residual);
        high.residual = std::max(high.residual, point.place.residual);
        low.outer = std::min(low.outer, point.place.outer);
        high.outer = std::max(high.outer, point.place.outer);
      }
      residual = residual.around(low.residual, high.residual, k_points);
      outer = outer.around(low.outer, high.outer, k_points);
    }
    const double top = highest(points);
    std::vector<Part> parts;
    for (const Weighed& point : points) {
      const double below = point.log_weight - top;
      if (!(below > -15.0)) continue;
      parts.push_back(point.part);
      // Half a point at the ends: the trapezium rule.
      parts.back().weight =
          std::exp(below) * share(residual, point.place.residual) * share(outer, point.place.outer);
    }
    return matched(parts);
  }

 private:
  static constexpr double k_span = 30.0;
  static constexpr std::size_t k_points = 25;

  static double highest(const std::vector<Weighed>& points) {
    double top = -std::numeric_limits<double>::infinity();
    for (const Weighed& point : points) top = std::max(top, point.log_weight);
    return top;
  }
  static double share(const Range& range, double x) {
    return range.points > 1 && (x == range.at(0) || x == range.at(range.points - 1)) ? 0.5 : 1.0;
  }

  std::vector<Weighed> over(const Range& residual, const Range& outer) const {
    std::vector<Weighed> points;
    points.reserve(residual.points * outer.points);
    for (std::size_t i = 0; i < residual.points; ++i) {
      for (std::size_t k = 0; k < outer.points; ++k) {
        points.push_back(weighed({residual.at(i), outer.at(k)}));
      }
    }
    return points;
  }

  Weighed weighed(const Place& place) const {
    // In units of the variance of a group's mean.
    Components ratios;
    ratios.residual = noisy_ ? std::exp(place.residual) : 0.0;
    ratios.group = std::max(1.0 - ratios.residual / typical_count_, 0.0);
    if (values_.outers > 1) {
      ratios.outer = std::max(std::exp(place.outer) - 1.0 / per_outer_, 0.0);
    }
    const NestedFit fit = fit_nested(values_, ratios);
    double center = (covariates_ * fit.effects).value();
    double variance = ratios.group;
    EffectRow lever = covariates_;
    if (outer_) {
      center += fit.outers[*outer_];
      variance += add_outer(ratios, lever);
    } else {
      variance += ratios.outer;
    }
    variance += (lever * fit.covariance * lever.transpose()).value();
    // With outer groups even in B's root, not in its logarithm: one degree of freedom less.
    const double dof = values_.size(noisy_) - static_cast<double>(values_.effects()) -
                       (values_.outers > 1 ? 1.0 : 0.0);
    if (known_ > 0.0) {
      const double scale = known_ / ratios.residual;
      return {place,
              -0.5 * (fit.shape + dof * std::log(scale) + fit.squares / scale),
              {0.0, center, std::sqrt(scale * variance), k_normal_dof}};
    }
    return {place,
            -0.5 * (fit.shape + dof * std::log(fit.squares)),
            {0.0, center, std::sqrt(fit.squares / dof * variance), dof}};
  }

  /// The variance of the outer group's deviation given the rest, and what it takes of the lever.
  double add_outer(const Components& ratios, EffectRow& lever) const {
    double weight = 0.0;
    EffectRow sums = EffectRow::Zero(lever.size());
    for (const Group& group : values_.groups) {
      if (group.outer != *outer_) continue;
      const double one = 1.0 / (ratios.group + ratios.residual / group.count);
      weight += one;
      sums += one * group.covariates;
    }
    const double rest = ratios.outer / (1.0 + ratios.outer * weight);
    lever -= rest * sums;
    return rest;
  }

  const NestedValues& values_;
  const EffectRow& covariates_;
  std::optional<std::size_t> outer_;
  double typical_count_ = 1.0, per_outer_ = 1.0, known_ = 0.0;
  bool noisy_ = false;
};

}  // namespace

StudentLaw next_group(const NestedValues& values, const EffectRow& covariates,
                      std::optional<std::size_t> outer, std::optional<double> residual) {
  return Posterior(values, covariates, outer, residual).law();
}

}  // namespace blendrisk::learn
