#include "line/readings.hpp"
#include "models/sensor.hpp"

#include <algorithm>
#include <cmath>

namespace blendrisk::line {
namespace {

constexpr double k_step_assumed = 0.01;

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
  if (!(reading.step > 0.0)) {
    const double r = (reading.value - seen) / reading.sd;
    return -0.5 * r * r;
  }
  const double width = reading.step / reading.sd;
  // By symmetry the display's interval lies at or right of what is seen.
  const double middle = std::abs(reading.value - seen) / reading.sd;
  const double near = middle - 0.5 * width;
  if (near > 30.0) {
    // Mills' ratio; the far end adds nothing to what is this small.
    return -0.5 * near * near - std::log(near * 2.5066282746310002);
  }
  constexpr double k_root_half = 0.70710678118654752;
  const double far = middle + 0.5 * width;
  if (width < 1e-4) return -0.5 * middle * middle + std::log(width * 0.3989422804014327);
  return std::log(0.5 * (std::erfc(near * k_root_half) - std::erfc(far * k_root_half)));
}

double misfit(const Reading& reading, double seen) {
  return (reading.value - seen) /
         std::sqrt(reading.sd * reading.sd + models::rounding_variance(reading.step));
}

}  // namespace blendrisk::line
