#include "line/sensor_error.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "numeric/vector_math.hpp"

namespace blendrisk::line {
namespace {

using scenario::Uncertain;

constexpr double k_left_out = 1e-9;

/// chance_below(x) over cells of one step about its multiples from low to high.
template <class ChanceBelow>
ErrorMasses masses_of(double low, double high, double step, const ChanceBelow& chance_below) {
  ErrorMasses law;
  law.step = step;
  law.first = static_cast<int>(std::floor(low / step + 0.5));
  const int last = static_cast<int>(std::floor(high / step + 0.5));
  double all = 0.0;
  double before = chance_below((law.first - 0.5) * step);
  for (int at = law.first; at <= last; ++at) {
    const double next = chance_below((at + 0.5) * step);
    law.mass.push_back(next - before);
    all += law.mass.back();
    before = next;
  }
  for (double& mass : law.mass) mass /= all;
  return law;
}

ErrorMasses noise_masses(double sd, double step) {
  if (!(sd > 0.0)) return {step, 0, {1.0}};
  const double far = -numeric::normal_quantile(k_left_out) * sd;
  return masses_of(-far, far, step, [sd](double x) { return numeric::normal_cdf(x / sd); });
}

ErrorMasses bias_masses(const distributions::Distribution& law, double step) {
  // A sensor that is off by all there is shows nothing.
  const double low = std::clamp(distributions::quantile(law, k_left_out), -1.0, 1.0);
  const double high = std::clamp(distributions::quantile_complement(law, k_left_out), -1.0, 1.0);
  return masses_of(low, high, step, [&law](double x) { return distributions::cdf_below(law, x); });
}

/// Of a value that is no multiple, shared out between its neighbours so that the mean stays.
ErrorMasses exact_mass(double value, double step) {
  const double at = std::floor(value / step);
  const double rest = value / step - at;
  return {step, static_cast<int>(at), {1.0 - rest, rest}};
}

ErrorMasses sum_of(const ErrorMasses& a, const ErrorMasses& b) {
  ErrorMasses sum{a.step, a.first + b.first,
                  std::vector<double>(a.mass.size() + b.mass.size() - 1)};
  for (std::size_t i = 0; i < a.mass.size(); ++i) {
    for (std::size_t j = 0; j < b.mass.size(); ++j) sum.mass[i + j] += a.mass[i] * b.mass[j];
  }
  return sum;
}

ErrorMasses turned_round(ErrorMasses law) {
  law.first = -(law.first + static_cast<int>(law.mass.size()) - 1);
  std::reverse(law.mass.begin(), law.mass.end());
  return law;
}

}  // namespace

bool bias_stands_alone(const Line& line) {
  const sampling::CaseInputs& inputs = line.inputs();
  if (inputs.by_reading()) return false;
  const auto& slots = inputs.correlations().slots;
  return std::find(slots.begin(), slots.end(), inputs.slot(Uncertain::bias)) == slots.end();
}

ErrorMasses error_masses(const Line& line, double sign, double step) {
  ErrorMasses error = noise_masses(line.inputs().scenario().sensor.noise_sd, step);
  if (bias_stands_alone(line)) {
    const distributions::Distribution& law = line.inputs()[line.inputs().slot(Uncertain::bias)].law;
    error = sum_of(error, distributions::is_exact(law) ? exact_mass(distributions::mean(law), step)
                                                       : bias_masses(law, step));
  }
  return sign > 0.0 ? error : turned_round(std::move(error));
}

}  // namespace blendrisk::line
