#include "estimate/point_law.hpp"

#include <algorithm>

namespace blendrisk::estimate {

PointLaw::PointLaw(std::vector<Weighted> points) : points_(std::move(points)) {
  moments_ = moments_of(points_);
  sort(points_);
  const Mass mass = mass_of(points_);
  grain_ = 1.0 / mass.effective();
  double sum = 0.0;
  for (Weighted& point : points_) point.weight = (sum += point.weight) / mass.sum;
}

double PointLaw::below(double x) const {
  const auto from = std::ranges::lower_bound(points_, x, {}, &Weighted::value);
  return from == points_.begin() ? 0.0 : (from - 1)->weight;
}

double PointLaw::at_most(double x) const {
  const auto from = std::ranges::upper_bound(points_, x, {}, &Weighted::value);
  return from == points_.begin() ? 0.0 : (from - 1)->weight;
}

double PointLaw::quantile(double order) const {
  const auto at = std::ranges::lower_bound(points_, order, {}, &Weighted::weight);
  return at == points_.end() ? points_.back().value : at->value;
}

double PointLaw::crps(double came) const {
  // Between neighbours the distribution function is level.
  double sum =
      std::max(points_.front().value - came, 0.0) + std::max(came - points_.back().value, 0.0);
  for (std::size_t i = 0; i + 1 < points_.size(); ++i) {
    const double from = points_[i].value;
    const double to = points_[i + 1].value;
    const double share = points_[i].weight;
    const double until = std::clamp(came, from, to);
    sum += share * share * (until - from) + (1.0 - share) * (1.0 - share) * (to - until);
  }
  return sum;
}

}  // namespace blendrisk::estimate
