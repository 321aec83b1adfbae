#include "models/lagged_batch.hpp"

#include <cmath>

namespace blendrisk::models {

void LaggedBatch::prepare(const ChainColumns& to_sensor, std::span<const RateColumn> phases,
                          double lag_s, std::size_t n) {
  const bool lags = lag_s > 0.0;
  used_ = lags ? phases.size() : 1;
  if (stretches_.size() < used_) stretches_.resize(used_);
  if (!lags) return stretches_.front().chains.prepare(to_sensor, n);
  from_l_.assign(n, 0.0);
  share_.assign(n, 0.0);
  for (std::size_t k = 0; k < used_; ++k) {
    start(stretches_[k], to_sensor, phases[k], lag_s);
    if (k + 1 < used_) end(stretches_[k], std::exp(-phases[k].duration_s / lag_s));
  }
}

void LaggedBatch::start(Stretch& stretch, ChainColumns chains, const RateColumn& phase,
                        double lag_s) {
  const std::size_t n = from_l_.size();
  bool all_flow = true;
  stretch.from_l = from_l_;
  stretch.to_l.resize(n);
  stretch.lag_l.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    stretch.lag_l[i] = phase.rate_l_per_s[i] * lag_s;
    const bool flows = stretch.lag_l[i] > 0.0;
    all_flow = all_flow && flows;
    stretch.to_l[i] = from_l_[i] + (flows ? phase.rate_l_per_s[i] * phase.duration_s : 0.0);
  }
  chains.stirred_l[2] = stretch.lag_l.data();
  stretch.chains.prepare(chains, n);
  stretch.behind.assign(n, 0.0);
  if (&stretch == &stretches_.front() && all_flow) return;  // nothing is shown yet, and H is 0
  // Nothing flows: the display settles on what stands at the sensor.
  stretch.chains.cdf(from_l_, stretch.behind);
  for (std::size_t i = 0; i < n; ++i) stretch.behind[i] = share_[i] - stretch.behind[i];
}

void LaggedBatch::end(const Stretch& stretch, double left) {
  stretch.chains.cdf(stretch.to_l, share_);
  for (std::size_t i = 0; i < share_.size(); ++i) share_[i] += stretch.behind[i] * left;
  from_l_ = stretch.to_l;
}

void LaggedBatch::at(std::span<const double> q_l, std::span<double> share) const {
  const Stretch& first = stretches_.front();
  first.chains.cdf(q_l, share);
  std::vector<double> later;
  for (std::size_t k = 1; k < used_; ++k) {
    const Stretch& stretch = stretches_[k];
    const auto is_later = [&](std::size_t i) { return q_l[i] > stretches_[k - 1].to_l[i]; };
    bool any = false;
    for (std::size_t i = 0; i < share.size(); ++i) any = any || is_later(i);
    if (!any) break;
    later.resize(share.size());
    stretch.chains.cdf(q_l, later);
    for (std::size_t i = 0; i < share.size(); ++i) {
      if (!is_later(i)) continue;
      share[i] = later[i];
      if (stretch.behind[i] == 0.0 || !(stretch.lag_l[i] > 0.0)) continue;
      share[i] += stretch.behind[i] * std::exp(-(q_l[i] - stretch.from_l[i]) / stretch.lag_l[i]);
    }
  }
}

}  // namespace blendrisk::models
