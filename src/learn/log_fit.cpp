#include "learn/log_fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

#include "learn/correlation.hpp"
#include "learn/least_squares.hpp"
#include "models/sensor.hpp"
#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::learn {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double k_student_dof = 3.0;
constexpr double k_wrong_once_in = 0.01;
constexpr double k_most_off = 0.1;
constexpr double k_drift_told_at = 0.01;
constexpr double k_least_drift = 0.0005;
constexpr int k_reweighings = 12;
constexpr int k_settling = 3;

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// The least step between readings: what the display shows.
double resolution(std::vector<double> readings) {
  std::sort(readings.begin(), readings.end());
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 1; i < readings.size(); ++i) {
    const double step = readings[i] - readings[i - 1];
    if (step > 1e-9) least = std::min(least, step);
  }
  return std::isfinite(least) ? least : 0.0;
}

/// Of values at rising places, at a place between, straight; beyond the ends theirs.
double between(const std::vector<double>& places, const std::vector<double>& values, double place) {
  const auto after = static_cast<std::size_t>(
      std::upper_bound(places.begin(), places.end(), place) - places.begin());
  if (after == 0) return values.front();
  if (after == places.size()) return values.back();
  const double share = (place - places[after - 1]) / (places[after] - places[after - 1]);
  return values[after - 1] + share * (values[after] - values[after - 1]);
}

std::vector<double> summed(std::vector<double> values) {
  std::partial_sum(values.begin(), values.end(), values.begin());
  return values;
}

/// ∂ shown/∂ passed, as a secant over the volume's standard deviation to both sides, from bin to
/// bin at least: a tangent would not see a front that may as well be past or yet to come.
std::vector<double> slopes_of(const ChainFit& fit, const Bins& bins) {
  const std::vector<double>& passed = bins.passed_l;
  const std::vector<double> walked = summed(bins.walk);
  std::vector<double> slopes(passed.size(), 0.0);
  for (std::size_t i = 0; i < slopes.size(); ++i) {
    const double reach = std::sqrt(walked[i]);
    const double low = std::min(passed[i] - reach, passed[i > 0 ? i - 1 : i]);
    const double high = std::max(passed[i] + reach, passed[std::min(i + 1, passed.size() - 1)]);
    if (high > low) {
      slopes[i] =
          (between(passed, fit.shown, high) - between(passed, fit.shown, low)) / (high - low);
    }
  }
  return slopes;
}

/// Fits one log, step by step.
class Settling {
 public:
  Settling(const ChangeoverLog& log, const scenario::Scenario& scenario, const Parts& parts,
           Bins bins)
      : log_(log),
        scenario_(scenario),
        parts_(parts),
        bins_(std::move(bins)),
        model_(bins_, scenario, !log.rate_l_per_s.empty()),
        least_noise_(
            std::max(expected_noise(scenario.sensor), resolution(log.reading) / std::sqrt(12.0))) {}

  LogFit run() {
    Whitening whitening(bins_.weight);
    ChainFit fit = fit_chain(model_, bins_, parts_, whitening);
    std::vector<std::size_t> off = rows_off(fit);
    if (!off.empty()) off = rows_off(reweighted(fit));
    if (!off.empty()) {
      bins_ = binned(log_, scenario_, off);
      whitening = Whitening(bins_.weight);
      fit = fit_chain(model_, bins_, parts_, whitening);
    }
    settle(fit, whitening);
    take_drift(fit, whitening);
    return {std::move(off), std::move(bins_), std::move(whitening), std::move(fit)};
  }

 private:
  VectorXd misses(const ChainFit& fit) const {
    const auto n = static_cast<Index>(fit.shown.size());
    return Eigen::Map<const VectorXd>(bins_.reading.data(), n) -
           Eigen::Map<const VectorXd>(fit.shown.data(), n);
  }

  /// Student errors: a reading far off weighs little.
  ChainFit reweighted(ChainFit fit) const {
    for (int i = 0; i < k_reweighings; ++i) {
      const VectorXd raw = misses(fit);
      std::vector<double> sizes(bins_.weight);
      for (std::size_t b = 0; b < sizes.size(); ++b) {
        sizes[b] = std::abs(raw[static_cast<Index>(b)]) * std::sqrt(sizes[b]);
      }
      const double sd = std::max(median_of(sizes) / k_median_of_normal, least_noise_);
      std::vector<double> weights(bins_.weight);
      for (std::size_t b = 0; b < weights.size(); ++b) {
        const double size = sizes[b] / sd;
        weights[b] *= (k_student_dof + 1.0) / (k_student_dof + size * size);
      }
      const ChainFit before = fit;
      fit = fit_chain(model_, bins_, parts_, Whitening(weights), &before);
      const double moved =
          std::abs(fit.after - before.after) + std::abs(fit.before - before.before);
      if (moved < 1e-3 * sd) break;
    }
    return fit;
  }

  std::vector<std::size_t> rows_off(const ChainFit& fit) const {
    const std::vector<double> slopes = slopes_of(fit, bins_);
    const std::vector<double> walked = summed(bins_.walk);
    const std::size_t rows = log_.reading.size();
    std::vector<double> sizes(rows);
    for (std::size_t i = 0; i < rows; ++i) {
      sizes[i] = std::abs(log_.reading[i] - between(bins_.time_s, fit.shown, log_.time_s[i]));
    }
    const double sd = std::max(median_of(sizes) / k_median_of_normal, least_noise_);
    const double limit =
        -numeric::normal_quantile(0.5 * k_wrong_once_in / static_cast<double>(rows));
    std::vector<std::size_t> off;
    for (std::size_t i = 0; i < rows; ++i) {
      const double slope = between(bins_.time_s, slopes, log_.time_s[i]);
      const double moved = slope * slope * between(bins_.time_s, walked, log_.time_s[i]);
      if (sizes[i] > limit * std::sqrt(sd * sd + moved)) off.push_back(i);
    }
    if (static_cast<double>(off.size()) > k_most_off * static_cast<double>(rows)) off.clear();
    return off;
  }

  /// Noise and slopes from the fit, the fit from these.
  void settle(ChainFit& fit, Whitening& whitening) const {
    if (!(summed(bins_.walk).back() > 0.0)) return;
    for (int i = 0; i < k_settling; ++i) {
      const std::vector<double> slopes = slopes_of(fit, bins_);
      whitening = Whitening(bins_.weight, slopes, bins_.walk, noise_of(fit, slopes));
      const ChainFit before = fit;
      fit = fit_chain(model_, bins_, before.parts, whitening, &before);
    }
  }

  /// The noise that leaves whitened residuals of its own size.
  double noise_of(const ChainFit& fit, const std::vector<double>& slopes) const {
    const VectorXd raw = misses(fit);
    const auto dof = static_cast<double>(raw.size() - fit.jacobian.cols());
    const double most = std::sqrt(Whitening(bins_.weight)(raw).squaredNorm() / dof);
    const auto lacking = [&](double noise) {
      const VectorXd white = Whitening(bins_.weight, slopes, bins_.walk, noise)(raw);
      return dof - white.squaredNorm() / (noise * noise);
    };
    const double least = 0.05 * most;
    numeric::Ends ends{least, most, lacking(least), lacking(most)};
    if (ends.at_low >= 0.0 || ends.at_high <= 0.0) return ends.at_low >= 0.0 ? least : most;
    return numeric::root(
               lacking, ends, [](double low, double high) { return high - low < 1e-4 * high; }, 60)
        .middle();
  }

  void take_drift(ChainFit& fit, Whitening& whitening) const {
    Parts drifting = parts_;
    drifting.drift = true;
    ChainFit with = fit_chain(model_, bins_, drifting, whitening, &fit);
    const double span = bins_.time_s.back() - bins_.time_s.front();
    if (std::abs(with.drift) * span < k_least_drift ||
        chance_as_well(fit, with) > k_drift_told_at) {
      return;
    }
    fit = fit_chain(model_, bins_, drifting, whitening);
    settle(fit, whitening);
  }

  static constexpr double k_median_of_normal = 0.67449;  ///< of its size, in standard deviations

  const ChangeoverLog& log_;
  const scenario::Scenario& scenario_;
  Parts parts_;
  Bins bins_;
  LineModel model_;
  double least_noise_;
};

}  // namespace

LogFit fit_log(const ChangeoverLog& log, const scenario::Scenario& scenario, const Parts& parts,
               Bins bins) {
  return Settling(log, scenario, parts, std::move(bins)).run();
}

double expected_noise(const scenario::Sensor& sensor) {
  return std::sqrt(sensor.noise_sd * sensor.noise_sd + models::rounding_variance(sensor.step));
}

double chance_as_well(const ChainFit& simpler, const ChainFit& with) {
  if (!(with.squares > 0.0)) return 0.0;
  const double dof =
      static_cast<double>(with.residuals.size()) - static_cast<double>(with.jacobian.cols());
  return chance_of_gain(simpler.squares - with.squares,
                        with.squares / dof * correlation_length(with.residuals), dof);
}

}  // namespace blendrisk::learn
