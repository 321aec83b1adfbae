#include "line/shown_readings.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace blendrisk::line {
namespace {

/// Parts of a step of the display that contents are laid on; even, so that half a step is whole.
constexpr int k_parts = 4;

/// Masses of the error as the display rounds it: what lies up to half a step to either side, of the
/// two ends themselves one half each.
ErrorMasses rounded(const ErrorMasses& error) {
  ErrorMasses sum{error.step, error.first - k_parts / 2,
                  std::vector<double>(error.mass.size() + k_parts)};
  for (std::size_t i = 0; i < error.mass.size(); ++i) {
    for (std::size_t by = 0; by <= k_parts; ++by) {
      sum.mass[i + by] += error.mass[i] * (by == 0 || by == k_parts ? 0.5 : 1.0);
    }
  }
  return sum;
}

/// Masses at the parts of a step about the first reading, each case shared out between the two
/// nearest.
class Contents {
 public:
  explicit Contents(double part)
      : zero_(std::lround(2.0 / part)), mass_(static_cast<std::size_t>(2 * zero_ + 2)) {}

  void add(double place, double weight) {
    const double most = static_cast<double>(zero_);
    place = std::clamp(place, -most, most);
    const double below = std::floor(place);
    const auto at = static_cast<long>(below) + zero_;
    mass_[static_cast<std::size_t>(at)] += (1.0 - (place - below)) * weight;
    mass_[static_cast<std::size_t>(at + 1)] += (place - below) * weight;
    first_ = std::min(first_, at);
    last_ = std::max(last_, at + 1);
  }

  /// Σ mass of the error there and of the content it takes to make it `place`.
  double met(const ErrorMasses& error, long place) const {
    const auto count = static_cast<long>(error.mass.size());
    // error.first + j = place − content
    const long high = place - error.first + zero_;
    const long from = std::max(first_, high - (count - 1));
    const long to = std::min(last_, high);
    double sum = 0.0;
    for (long at = from; at <= to; ++at) {
      sum += mass_[static_cast<std::size_t>(at)] * error.mass[static_cast<std::size_t>(high - at)];
    }
    return sum;
  }

 private:
  long zero_;
  std::vector<double> mass_;
  long first_ = std::numeric_limits<long>::max();
  long last_ = 0;
};

}  // namespace

bool outside_at(const ArrivalCases& cases, std::size_t i, double burn_l) {
  return cases.out_from[i] <= burn_l && burn_l < cases.out_to[i];
}

ReadingGrid::ReadingGrid(const Line& line, double first, double step, std::size_t count)
    : sign_(step > 0.0 ? 1.0 : -1.0),
      step_(std::abs(step)),
      first_(first),
      count_(count),
      bias_alone_(bias_stands_alone(line)),
      rounded_(rounded(error_masses(line, sign_, step_ / k_parts))) {}

ShownReadings ReadingGrid::shown(const ArrivalCases& cases, std::size_t look, double burn_l) const {
  const double part = rounded_.step;
  Contents all(part);
  Contents outside(part);
  const double weight = 1.0 / static_cast<double>(cases.size());
  for (std::size_t i = 0; i < cases.size(); ++i) {
    const double content = cases.shown[look][i] + (bias_alone_ ? 0.0 : cases.bias[i]);
    const double place = sign_ * (content - first_) / part;
    all.add(place, weight);
    if (outside_at(cases, i, burn_l)) outside.add(place, weight);
  }
  ShownReadings shown{std::vector<double>(count_), std::vector<double>(count_)};
  for (std::size_t k = 0; k < count_; ++k) {
    const long place = static_cast<long>(k) * k_parts;
    shown.all[k] = all.met(rounded_, place);
    shown.outside[k] = outside.met(rounded_, place);
  }
  return shown;
}

}  // namespace blendrisk::line
