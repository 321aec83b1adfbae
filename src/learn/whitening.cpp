#include "learn/whitening.hpp"

#include <cmath>

namespace blendrisk::learn {

using Eigen::ArrayXd;
using Eigen::Index;
using Eigen::VectorXd;

Whitening::Whitening(const std::vector<double>& weights)
    : scale_(Eigen::Map<const ArrayXd>(weights.data(), static_cast<Index>(weights.size())).sqrt()) {
}

Whitening::Whitening(const std::vector<double>& weights, const std::vector<double>& slopes,
                     const std::vector<double>& walk, double noise_sd)
    : scale_(static_cast<Index>(weights.size())),
      gain_(scale_.size()),
      slopes_(Eigen::Map<const ArrayXd>(slopes.data(), scale_.size())) {
  double variance = 0.0;
  for (Index i = 0; i < scale_.size(); ++i) {
    const auto at = static_cast<std::size_t>(i);
    variance += walk[at];
    const double slope = slopes[at];
    const double noise = noise_sd * noise_sd / weights[at];
    const double total = slope * slope * variance + noise;
    scale_[i] = noise_sd / std::sqrt(total);
    gain_[i] = variance * slope / total;
    variance *= noise / total;
  }
}

VectorXd Whitening::operator()(const VectorXd& series) const {
  if (gain_.size() == 0) return (series.array() * scale_).matrix();
  VectorXd out(series.size());
  double error = 0.0;
  for (Index i = 0; i < series.size(); ++i) {
    const double innovation = series[i] - slopes_[i] * error;
    out[i] = innovation * scale_[i];
    error += gain_[i] * innovation;
  }
  return out;
}

}  // namespace blendrisk::learn
