#include "line/readings.hpp"
#include "models/sensor.hpp"
#include "numeric/simd_math.hpp"
#include "numeric/target_clones.hpp"

#include <algorithm>
#include <cmath>

namespace blendrisk::line {
namespace {

constexpr double k_step_assumed = 0.01;
/// Steps of so little of the standard deviation are points.
constexpr double k_narrow = 1e-4;
constexpr double k_density_at_0 = 0.3989422804014327;
/// Standard deviations beyond which what is left is told by Mills' ratio.
constexpr double k_far = 30.0;

BLENDRISK_CLONES void density_loop(double value, double sd, double constant,
                                   const double* __restrict seen, double* __restrict sum,
                                   std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double r = (value - seen[i]) / sd;
    sum[i] += -0.5 * r * r + constant;
  }
}

BLENDRISK_CLONES void display_loop(double value, double sd, double width,
                                   const double* __restrict seen, double* __restrict sum,
                                   std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    // By symmetry the display's interval lies at or right of what is seen.
    const double off = (value - seen[i]) / sd;
    const double middle = off < 0.0 ? -off : off;
    const double near = middle - 0.5 * width;
    const double far = middle + 0.5 * width;
    const bool beyond = near > k_far;
    // Where near is so large the far end adds nothing to what is this small.
    const double shown = numeric::lanes::normal_cdf(-near) - numeric::lanes::normal_cdf(-far);
    const double log = numeric::lanes::log(beyond ? near / k_density_at_0 : shown);
    sum[i] += beyond ? -0.5 * near * near - log : log;
  }
}

}  // namespace

Display display_of(const scenario::Sensor& sensor) {
  Display display{sensor.noise_sd, sensor.step, false};
  if (!(display.sd > 0.0) && !(display.step > 0.0)) {
    display.step = k_step_assumed;
    display.assumed = true;
  }
  display.sd = std::max(display.sd, 0.05 * display.step);
  return display;
}

std::vector<Reading> grouped(const std::vector<Reading>& readings) {
  const std::size_t n = readings.size();
  if (n <= k_most_readings) return readings;
  std::vector<Reading> groups;
  groups.reserve(k_most_readings);
  for (std::size_t g = 0; g < k_most_readings; ++g) {
    const std::size_t from = g * n / k_most_readings;
    const std::size_t to = (g + 1) * n / k_most_readings;
    if (to - from == 1) {
      groups.push_back(readings[from]);
      continue;
    }
    const auto count = static_cast<double>(to - from);
    Reading mean;
    mean.moment.by = readings[from].moment.by;
    double variance = 0.0;
    double rounding = 0.0;
    for (std::size_t i = from; i < to; ++i) {
      mean.moment.value += readings[i].moment.value / count;
      mean.value += readings[i].value / count;
      variance += readings[i].sd * readings[i].sd / (count * count);
      rounding = std::max(rounding, models::rounding_variance(readings[i].step));
    }
    mean.sd = std::sqrt(variance + rounding);
    groups.push_back(mean);
  }
  return groups;
}

double log_likelihood(const Reading& reading, double seen) {
  double sum = 0.0;
  add_log_likelihood(reading, {&seen, 1}, {&sum, 1});
  return sum;
}

void add_log_likelihood(const Reading& reading, std::span<const double> seen,
                        std::span<double> sum) {
  const double width = reading.step / reading.sd;
  if (width < k_narrow) {
    // Of a display without a step up to a constant.
    const double constant = width > 0.0 ? std::log(width * k_density_at_0) : 0.0;
    density_loop(reading.value, reading.sd, constant, seen.data(), sum.data(), seen.size());
  } else {
    display_loop(reading.value, reading.sd, width, seen.data(), sum.data(), seen.size());
  }
}

double misfit(const Reading& reading, double seen) {
  return (reading.value - seen) /
         std::sqrt(reading.sd * reading.sd + models::rounding_variance(reading.step));
}

}  // namespace blendrisk::line
