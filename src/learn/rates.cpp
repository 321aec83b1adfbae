#include "learn/rates.hpp"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <numeric>
#include <vector>

#include "learn/correlation.hpp"
#include "learn/line_model.hpp"

namespace blendrisk::learn {
namespace {

double mean_of(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

/// Half the middle two thirds.
double spread_of(const distributions::Distribution& law) {
  return 0.5 * (distributions::quantile(law, 0.8413) - distributions::quantile(law, 0.1587));
}

/// Means of neighbouring values, of at most k_most_bins about equal shares.
std::vector<double> averaged(const std::vector<double>& values) {
  const std::size_t count = std::min(values.size(), k_most_bins);
  std::vector<double> means;
  means.reserve(count);
  for (std::size_t b = 0; b < count; ++b) {
    const auto from = static_cast<std::ptrdiff_t>(b * values.size() / count);
    const auto to = static_cast<std::ptrdiff_t>((b + 1) * values.size() / count);
    means.push_back(mean_of({values.begin() + from, values.begin() + to}));
  }
  return means;
}

double sd_about(double mean, const std::vector<double>& values) {
  double squares = 0.0;
  for (const double value : values) squares += (value - mean) * (value - mean);
  return std::sqrt(squares / (static_cast<double>(values.size()) - 1.0));
}

}  // namespace

double flow_spread(const ChangeoverLog& log, const scenario::Scenario& scenario) {
  const distributions::Distribution& back = scenario.line.return_flow;
  const auto relative = [&back](double rate, double spread) {
    const double flow = rate + std::max(0.0, distributions::mean(back));
    return flow > 0.0 ? std::hypot(spread, spread_of(back)) / flow : 0.0;
  };
  if (!log.rate_l_per_s.empty()) {
    return relative(mean_of(log.rate_l_per_s), 0.0);
  }
  double most = 0.0;
  for (const scenario::Phase& phase : scenario.engine.schedule) {
    const auto& rate =
        phase.load == scenario::Load::idle ? scenario.engine.idle : scenario.engine.gentle;
    if (rate) most = std::max(most, relative(distributions::mean(*rate), spread_of(*rate)));
  }
  return most;
}

std::optional<Fitted> idle_of(const ChangeoverLog& log) {
  if (log.rate_l_per_s.empty()) return {};
  const double mean = mean_of(log.rate_l_per_s);
  if (!(mean > 0.0) || sd_about(mean, log.rate_l_per_s) > 0.3 * mean) {
    return {};
  }
  std::vector<double> rates = averaged(log.rate_l_per_s);
  const double sd = sd_about(mean, rates);
  for (double& rate : rates) rate -= mean;
  const double independent =
      std::max(2.0, static_cast<double>(rates.size()) / correlation_length(rates));
  const boost::math::students_t law(independent - 1.0);
  return fitted("engine.idle", mean, sd / std::sqrt(independent),
                boost::math::quantile(law, 0.975));
}

}  // namespace blendrisk::learn
