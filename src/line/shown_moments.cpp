#include "line/shown_moments.hpp"

#include <algorithm>
#include <cmath>

#include "line/case_drawer.hpp"
#include "models/infinity.hpp"
#include "numeric/solve.hpp"

namespace blendrisk::line {
namespace {

/// The volume that has passed when a sensor with this error first shows `reading`; infinite where
/// it never does.
double passed_when_shown(const LineCase& one, models::LaggedShare& lagged, double lag_s, double old,
                         double settled, double error, const estimate::Limit& reading) {
  const double sign = reading.sign();
  if (sign * (old + error - reading.value) >= 0.0) return 0.0;
  if (!(sign * (settled - old) > 0.0)) return k_infinity;
  const double share = (reading.value - error - old) / (settled - old);
  if (share >= 1.0) return k_infinity;
  lagged.prepare(one.to_sensor, one.through, lag_s);
  const auto excess = [&](double q) { return lagged.at(q) - share; };
  const double at_first = excess(0.0);
  if (at_first >= 0.0) return 0.0;
  const double about = std::max(models::residence_mean(one.to_sensor), 1e-6);
  const auto ends =
      numeric::bracketed(excess, {0.0, about, at_first, excess(about)}, about, 0.0, 1e9);
  if (!ends) return k_infinity;
  const auto close = [](double from, double to) { return to - from <= 1e-8 * to; };
  return numeric::root(excess, {0.0, ends->high, at_first, ends->at_high}, close, 60).middle();
}

/// follow(drawn, i, one, old, settled) for every case of `cases` points named by `round`, the one
/// in row i of what was drawn: its line, the contents of that before the fill and of its tank in
/// the end.
template <class Follow>
void for_cases(const Line& line, std::uint64_t cases, const estimate::Options& options,
               std::uint64_t round, const Follow& follow) {
  CaseDrawer drawer(line.inputs());
  LineCase one;
  BlockPoints points(options, round, 0);
  drawer.each(points, static_cast<std::size_t>(cases), [&](const Drawn& drawn) {
    for (std::size_t i = 0; i < drawn.count; ++i) {
      line.load(drawn.batch, i, one);
      const double old = line.old_content(drawn.batch, i);
      follow(drawn, i, one, old, one.settled(drawn.landed[i], drawn.total_l[i], old));
    }
  });
}

}  // namespace

ShownMoments moments_shown(const Line& line, const estimate::Limit& reading, std::uint64_t cases,
                           const estimate::Options& options) {
  const scenario::Sensor& sensor = line.inputs().scenario().sensor;
  models::LaggedShare lagged;
  ShownMoments moments;
  for_cases(
      line, cases, options, 2,
      [&](const Drawn& drawn, std::size_t i, const LineCase& one, double old, double settled) {
        const double error = line.bias(drawn.batch, i) + sensor.noise_sd * drawn.noise[i];
        const double passed =
            passed_when_shown(one, lagged, sensor.lag_s, old, settled, error, reading);
        if (std::isinf(passed)) return;
        moments.burn_l.push_back(one.burned_once_passed(passed));
        if (line.has_rates()) moments.time_s.push_back(one.time_once_passed(passed));
      });
  return moments;
}

}  // namespace blendrisk::line
