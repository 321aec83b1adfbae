#include "learn/rates.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "learn/correlation.hpp"
#include "learn/line_model.hpp"
#include "numeric/sampling_laws.hpp"

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

/// Mean square of what the rate changes in so many rows.
double changed_over(const std::vector<double>& rates, std::size_t rows) {
  rows = std::min(rows, rates.size() / 2);
  double squares = 0.0;
  for (std::size_t i = rows; i < rates.size(); ++i) {
    squares += (rates[i] - rates[i - rows]) * (rates[i] - rates[i - rows]);
  }
  return squares / static_cast<double>(rates.size() - rows);
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

double rate_scatter(const ChangeoverLog& log) {
  const std::vector<double>& rates = log.rate_l_per_s;
  std::vector<double> bends;
  for (std::size_t i = 1; i + 1 < rates.size(); ++i) {
    const double mean = (rates[i - 1] + rates[i] + rates[i + 1]) / 3.0;
    if (mean > 0.0) {
      bends.push_back(std::abs(rates[i - 1] - 2.0 * rates[i] + rates[i + 1]) / mean);
    }
  }
  if (bends.empty()) return 0.0;
  const auto middle = bends.begin() + static_cast<std::ptrdiff_t>(bends.size() / 2);
  std::nth_element(bends.begin(), middle, bends.end());
  // A second difference of independent errors has six times their variance.
  const double by_median = *middle / 0.67449 / std::sqrt(6.0);
  if (by_median > 0.0) return by_median;
  return std::sqrt(std::inner_product(bends.begin(), bends.end(), bends.begin(), 0.0) /
                   static_cast<double>(bends.size()) / 6.0);
}

std::vector<double> burned_walk(const ChangeoverLog& log) {
  const std::vector<double>& rates = log.rate_l_per_s;
  const std::size_t rows = log.time_s.size();
  std::vector<double> walk(rows, 0.0);
  if (rates.empty() || rows < 3) return walk;
  std::vector<double> spans(rows, 0.0);  // from the row before, and from time 0
  for (std::size_t i = 1; i < rows; ++i) {
    spans[i] = std::max(0.0, log.time_s[i]) - std::max(0.0, log.time_s[i - 1]);
  }
  std::vector<double> sorted(spans.begin() + 1, spans.end());
  std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2),
                   sorted.end());
  const double usual = sorted[sorted.size() / 2];
  const double relative = rate_scatter(log);
  for (std::size_t i = 1; i < rows; ++i) {
    const double next = i + 1 < rows ? spans[i + 1] : spans[i];
    const double before = i > 1 ? spans[i - 1] : spans[i];
    const double sd = relative * 0.5 * (rates[i - 1] + rates[i]);
    walk[i] = sd * sd * spans[i] * (0.25 * before + 0.5 * spans[i] + 0.25 * next);
    if (!(usual > 0.0) || spans[i] <= 3.0 * usual) continue;
    const double changed = changed_over(rates, static_cast<std::size_t>(spans[i] / usual));
    walk[i] += std::max(0.0, changed - 2.0 * sd * sd) * spans[i] * spans[i] / 12.0;
  }
  return walk;
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
  return fitted("engine.idle", mean, sd / std::sqrt(independent),
                numeric::student_t_quantile(independent - 1.0, 0.975));
}

}  // namespace blendrisk::learn
