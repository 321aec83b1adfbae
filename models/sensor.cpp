#include "models/sensor.hpp"

#include <limits>

namespace blendrisk::models {

void LaggedShare::prepare(const Chain& to_sensor, std::span<const RatePhase> phases, double lag_s) {
  constexpr double ever = std::numeric_limits<double>::infinity();
  stretches_.clear();
  if (!(lag_s > 0.0)) {
    stretches_.push_back({0.0, ever, 0.0, 0.0, PreparedChain(to_sensor)});
    return;
  }
  double from = 0.0;
  double share = 0.0;
  for (const RatePhase& phase : phases) {
    Chain chain = to_sensor;
    chain.stirred_l[2] = phase.rate_l_per_s * lag_s;
    const PreparedChain prepared(chain);
    const double lag_l = chain.stirred_l[2];
    const double to = lag_l > 0.0 ? from + phase.rate_l_per_s * phase.duration_s : from;
    // Nothing flows: the display settles on what stands at the sensor.
    const double behind = share - prepared.cdf(from);
    stretches_.push_back({from, to, lag_l, behind, prepared});
    if (std::isinf(to)) break;
    const double left = std::exp(-phase.duration_s / lag_s);
    share = prepared.cdf(to) + behind * left;
    from = to;
  }
}

double LaggedShare::at(double q_l) const {
  for (const Stretch& stretch : stretches_) {
    if (q_l > stretch.to_l && &stretch != &stretches_.back()) continue;
    double share = stretch.chain.cdf(q_l);
    if (stretch.behind != 0.0 && stretch.lag_l > 0.0) {
      share += stretch.behind * std::exp(-(q_l - stretch.from_l) / stretch.lag_l);
    }
    return share;
  }
  return 0.0;
}

}  // namespace blendrisk::models
