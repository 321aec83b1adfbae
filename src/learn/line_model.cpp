#include "learn/line_model.hpp"
#include "learn/rates.hpp"
#include "models/infinity.hpp"
#include "scenario/log_time.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace blendrisk::learn {
namespace {

double return_rate(const scenario::Scenario& scenario) {
  return std::max(0.0, distributions::mean(scenario.line.return_flow));
}

std::vector<double> passed_by_row(const ChangeoverLog& log, const scenario::Scenario& scenario) {
  std::vector<double> passed;
  passed.reserve(log.time_s.size());
  if (log.rate_l_per_s.empty()) {
    const std::vector<models::RatePhase> phases = mean_phases(scenario);
    for (const double time : log.time_s) {
      passed.push_back(models::pumped_volume(phases, std::max(0.0, time)));
    }
    return passed;
  }
  const double back = return_rate(scenario);
  scenario::BurnedByRate burned;
  for (std::size_t i = 0; i < log.time_s.size(); ++i) {
    const double time = log.time_s[i];
    passed.push_back(burned.take(time, log.rate_l_per_s[i]) + back * std::max(0.0, time));
  }
  return passed;
}

}  // namespace

std::vector<models::RatePhase> mean_phases(const scenario::Scenario& scenario) {
  std::vector<models::RatePhase> phases;
  for (const scenario::Phase& phase : scenario.engine.schedule) {
    const auto& rate =
        phase.load == scenario::Load::idle ? scenario.engine.idle : scenario.engine.gentle;
    if (!rate) return {};
    phases.push_back({distributions::mean(*rate) + return_rate(scenario),
                      phase.duration_s.value_or(k_infinity)});
  }
  return phases;
}

Bins binned(const ChangeoverLog& log, const scenario::Scenario& scenario,
            const std::vector<std::size_t>& off) {
  const std::vector<double> passed = passed_by_row(log, scenario);
  std::vector<double> walked = burned_walk(log);
  std::partial_sum(walked.begin(), walked.end(), walked.begin());
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < log.time_s.size(); ++i) {
    if (!std::binary_search(off.begin(), off.end(), i)) kept.push_back(i);
  }
  const std::size_t rows = kept.size();
  const std::size_t count = std::min(rows, k_most_bins);
  double walked_before = 0.0;
  Bins bins;
  for (std::size_t b = 0; b < count; ++b) {
    const std::size_t from = b * rows / count;
    const std::size_t to = (b + 1) * rows / count;
    const auto n = static_cast<double>(to - from);
    double time = 0.0;
    double reading = 0.0;
    double volume = 0.0;
    double variance = 0.0;
    for (std::size_t k = from; k < to; ++k) {
      const std::size_t i = kept[k];
      time += log.time_s[i];
      reading += log.reading[i];
      volume += passed[i];
      variance += walked[i] / n;
    }
    bins.walk.push_back(variance - walked_before);
    walked_before = variance;
    bins.time_s.push_back(time / n);
    bins.reading.push_back(reading / n);
    bins.passed_l.push_back(volume / n);
    bins.weight.push_back(n);
  }
  return bins;
}

LineModel::LineModel(const Bins& bins, const scenario::Scenario& scenario, bool rate_logged)
    : bins_(bins),
      pipe_(scenario.line.pipe_flow == scenario::PipeFlow::plug ? models::Pipe::plug
                                                                : models::Pipe::laminar),
      lag_s_(scenario.sensor.lag_s),
      rate_logged_(rate_logged),
      phases_(rate_logged ? std::vector<models::RatePhase>() : mean_phases(scenario)) {}

// τ dL/dt = F − L with F straight between the steps, of which there are some between rows that lie
// far apart for the lag.
std::vector<double> LineModel::lagged(const models::PreparedChain& chain) const {
  std::vector<double> shares(bins_.time_s.size());
  double time = std::min(0.0, bins_.time_s.front());
  double passed = 0.0;
  double f = chain.cdf(0.0);
  double lag = 0.0;
  for (std::size_t i = 0; i < shares.size(); ++i) {
    const double span = bins_.time_s[i] - time;
    const double more = bins_.passed_l[i] - passed;
    const int steps = std::clamp(static_cast<int>(std::ceil(span / (0.5 * lag_s_))), 1, 20);
    for (int k = 1; k <= steps && span > 0.0; ++k) {
      const double next = chain.cdf(passed + more * k / steps);
      const double step = span / steps;
      const double slope = (next - f) / step * lag_s_;
      lag = next - slope + (lag - f + slope) * std::exp(-step / lag_s_);
      f = next;
    }
    time = bins_.time_s[i];
    passed = bins_.passed_l[i];
    shares[i] = lag;
  }
  return shares;
}

std::vector<double> LineModel::shares(const Volumes& volumes) const {
  const models::Chain chain{{volumes[0], volumes[1], 0.0}, volumes[2], pipe_};
  if (lag_s_ > 0.0 && rate_logged_) return lagged(models::PreparedChain(chain));
  models::LaggedShare share;
  share.prepare(chain, phases_, lag_s_);
  std::vector<double> shares(bins_.passed_l.size());
  for (std::size_t i = 0; i < shares.size(); ++i) {
    shares[i] = bins_.time_s[i] > 0.0 ? share.at(bins_.passed_l[i]) : 0.0;
  }
  return shares;
}

}  // namespace blendrisk::learn
