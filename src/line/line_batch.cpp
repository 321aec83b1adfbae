#include "line/line_batch.hpp"

#include <algorithm>
#include <cmath>

#include "models/infinity.hpp"

namespace blendrisk::line {

using scenario::Uncertain;

LineBatch::LineBatch(const Line& line)
    : line_(line), flow_(pipe_of(line.inputs().scenario().line.pipe_flow)) {}

void LineBatch::load(const sampling::CaseBatch& batch, const double* landed, const double* total_l,
                     std::size_t n) {
  const auto column = [&](Uncertain input) { return batch.column(line_.inputs().slot(input)); };
  reservoir_ = column(Uncertain::reservoir);
  filter_ = column(Uncertain::filter);
  pipe_ = column(Uncertain::pipe);
  beyond_ = column(Uncertain::beyond_sensor);
  back_ = column(Uncertain::return_flow);
  bias_ = {column(Uncertain::bias), n};
  flows_back_ = std::any_of(back_, back_ + n, [](double back) { return back > 0.0; });
  burned_.clear();
  through_.clear();
  if (line_.has_rates()) {
    const auto& schedule = line_.inputs().scenario().engine.schedule;
    if (flows_back_) sums_.resize(schedule.size());
    for (std::size_t k = 0; k < schedule.size(); ++k) {
      const double* rate =
          column(schedule[k].load == scenario::Load::idle ? Uncertain::idle : Uncertain::gentle);
      burned_.push_back({rate, schedule[k].duration_s.value_or(k_infinity)});
      through_.push_back(burned_.back());
      if (!flows_back_) continue;
      sums_[k].resize(n);
      std::transform(rate, rate + n, back_, sums_[k].begin(), std::plus<>());
      through_.back().rate_l_per_s = sums_[k].data();
    }
  }
  old_.resize(n);
  settled_.assign(landed, landed + n);
  for (std::size_t i = 0; i < n; ++i) old_[i] = line_.old_content(batch, i);
  for (std::size_t i = 0; i < n && flows_back_; ++i) {
    settled_[i] = settled_content(landed[i], total_l[i], old_[i], back_[i], volume_l(i));
  }
}

models::ChainColumns LineBatch::to_sensor() const {
  return {{reservoir_, filter_, nullptr}, pipe_, flow_};
}

models::ChainColumns LineBatch::to_injectors() const {
  return {{reservoir_, filter_, beyond_}, pipe_, flow_};
}

double LineBatch::volume_l(std::size_t i) const {
  return reservoir_[i] + filter_[i] + beyond_[i] + pipe_[i];
}

models::RatePhase LineBatch::phase(std::size_t i, std::size_t k, bool with_return) const {
  const models::RateColumn& column = with_return ? through_[k] : burned_[k];
  return {column.rate_l_per_s[i], column.duration_s};
}

double LineBatch::passed_once_burned(std::size_t i, double burned_l) const {
  if (!(back_[i] > 0.0) || std::isinf(burned_l)) return burned_l;
  const auto burned = [&](std::size_t k) { return phase(i, k, false); };
  const auto through = [&](std::size_t k) { return phase(i, k, true); };
  const double time = models::time_to_pump(burned_.size(), burned, burned_l);
  return models::pumped_volume(through_.size(), through, time);
}

void LineBatch::passed(const Moment& moment, std::span<double> q_l) const {
  const bool by_time = moment.by == Moment::By::time && !std::isinf(moment.value);
  std::fill(q_l.begin(), q_l.end(), moment.value);
  for (std::size_t i = 0; i < q_l.size() && (by_time || flows_back_); ++i) {
    const auto through = [&](std::size_t k) { return phase(i, k, true); };
    q_l[i] = by_time ? models::pumped_volume(through_.size(), through, moment.value)
                     : passed_once_burned(i, moment.value);
  }
}

double LineBatch::burned_once_passed(std::size_t i, double q_l) const {
  if (!(back_[i] > 0.0) || std::isinf(q_l)) return q_l;
  const auto burned = [&](std::size_t k) { return phase(i, k, false); };
  return models::pumped_volume(burned_.size(), burned, time_once_passed(i, q_l));
}

double LineBatch::time_once_passed(std::size_t i, double q_l) const {
  if (std::isinf(q_l)) return k_infinity;
  const auto through = [&](std::size_t k) { return phase(i, k, true); };
  return models::time_to_pump(through_.size(), through, q_l);
}

}  // namespace blendrisk::line
