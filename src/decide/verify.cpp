#include "decide/verify.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/interval.hpp"
#include "estimate/limit.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/xoshiro.hpp"
#include "tank/test_forecast.hpp"

namespace blendrisk::decide {
namespace {

/// Tells its streams from those of counted cases, whose parts are never as many.
constexpr std::uint64_t k_of_equal_values = ~std::uint64_t{0};

/// One number in (0, 1) of a row.
double random_part(std::uint64_t seed, std::size_t row) {
  sampling::Xoshiro random(
      sampling::Stream(seed, sampling::Purpose::crude, row, k_of_equal_values).key());
  std::array<double, sampling::Xoshiro::k_lanes> u{};
  random.fill(u);
  return u[0];
}

bool is_missed(double content, const scenario::Limits& limits) {
  return std::ranges::any_of(estimate::limits_of(limits),
                             [&](const auto& limit) { return limit.missed_by(content); });
}

double miss_chance(const estimate::PointLaw& law, const scenario::Limits& limits) {
  double chance = 0.0;
  for (const estimate::Limit& limit : estimate::limits_of(limits)) {
    const double at = limit.compared();
    chance += limit.below() ? law.below(at) : 1.0 - law.at_most(at);
  }
  return std::min(chance, 1.0);
}

Forecast forecast_of(const TestedFill& fill, std::size_t row, std::uint64_t seed) {
  Forecast found{.test = fill.test, .limits = fill.scenario.limits};
  found.missed = is_missed(fill.test, found.limits);
  found.plain = tank::plain_landing(fill.scenario, fill.pump_test);
  try {
    const auto law = tank::forecast_of_test(fill.scenario, fill.pump_test, seed, row);
    found.mean = law.mean();
    found.standard_deviation = law.standard_deviation();
    for (std::size_t i = 0; i < k_forecast_orders.size(); ++i) {
      found.quantiles[i] = law.quantile(k_forecast_orders[i]);
    }
    const double below = law.below(fill.test);
    found.share = below + random_part(seed, row) * (law.at_most(fill.test) - below);
    const double least = 0.5 * law.grain();
    found.share = std::clamp(found.share, least, 1.0 - least);
    found.score = numeric::normal_quantile(found.share);
    found.miss_chance = miss_chance(law, found.limits);
    found.crps = law.crps(fill.test);
  } catch (const estimate::ImpossibleScenario& error) {
    if (error.why != estimate::Impossible::figure) throw;
    found.excluded = error;
  }
  return found;
}

Coverage coverage_of(double level, const std::vector<double>& shares) {
  Coverage coverage{.level = level};
  for (const double share : shares) {
    if (std::abs(share - 0.5) <= 0.5 * level) ++coverage.held;
  }
  coverage.share = estimate::clopper_pearson(coverage.held, shares.size());
  return coverage;
}

}  // namespace

Judgement verdict_on(const std::vector<const Forecast*>& rows) {
  std::vector<double> shares, scores, chances, came;
  Judgement verdict;
  const auto n = static_cast<double>(rows.size());
  for (const Forecast* row : rows) {
    shares.push_back(row->share);
    scores.push_back(row->score);
    chances.push_back(row->miss_chance);
    came.push_back(row->missed ? 1.0 : 0.0);
    verdict.missed += row->missed ? 1 : 0;
    verdict.crps += row->crps / n;
    verdict.plain_error += std::abs(row->test - row->plain) / n;
    verdict.typical_sd += row->standard_deviation / n;
  }
  verdict.calibration = estimate::judged(scores);
  verdict.shift = verdict.calibration.shift * verdict.typical_sd;
  for (std::size_t end = 0; end < 2; ++end) {
    verdict.shift_interval[end] = verdict.calibration.shift_interval[end] * verdict.typical_sd;
  }
  verdict.cramer_von_mises = estimate::cramer_von_mises(shares);
  verdict.p = estimate::cramer_von_mises_p(verdict.cramer_von_mises, rows.size());
  verdict.coverage = {coverage_of(0.5, shares), coverage_of(0.8, shares),
                      coverage_of(0.95, shares)};
  verdict.expected = estimate::expected_misses(chances);
  verdict.brier = estimate::brier_parts(chances, came);
  if (verdict.plain_error > 0.0) verdict.skill = 1.0 - verdict.crps / verdict.plain_error;
  return verdict;
}

Verified verify(std::size_t rows, const TestedFillOf& fill_of, const estimate::Options& options,
                const CellProgress& progress) {
  Verified verified;
  verified.rows = cells_of<Forecast>(0, rows, options, progress,
                                     [&](std::size_t row, const estimate::Options& single) {
                                       return forecast_of(fill_of(row), row, single.seed);
                                     });
  std::vector<const Forecast*> forecast;
  for (const Forecast& row : verified.rows) {
    if (!row.excluded) forecast.push_back(&row);
  }
  verified.excluded = verified.rows.size() - forecast.size();
  if (!forecast.empty()) verified.all = verdict_on(forecast);
  return verified;
}

}  // namespace blendrisk::decide
