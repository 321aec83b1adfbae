#include "learn/with_laws.hpp"

#include <algorithm>

#include "distributions/families.hpp"
#include "scenario/correlation.hpp"

namespace blendrisk::learn {
namespace {

constexpr const char* k_click_off = "tank.click-off";
constexpr const char* k_gauge_error = "heel.gauge-error";

distributions::Distribution drawn(const StudentLaw& law) {
  return law.dof >= k_most_dof ? distributions::normal(law.center, law.scale)
                               : distributions::student(law.center, law.scale, law.dof);
}

/// With the correlation of click-off and gauge error, unless it and others exclude each other.
void correlate(scenario::Scenario& scenario, double rank) {
  std::erase_if(scenario.correlations, [](const scenario::Correlation& one) {
    return one.first == k_click_off && one.second == k_gauge_error;
  });
  if (rank == 0.0) return;
  std::vector<scenario::Correlation> with = scenario.correlations;
  with.push_back({k_click_off, k_gauge_error, rank});
  if (scenario::conflicting(with).empty()) scenario.correlations = std::move(with);
}

}  // namespace

scenario::Scenario with_laws(scenario::Scenario scenario, const ShopLaws& laws,
                             const std::function<bool(std::string_view)>& stays) {
  const auto& pump = laws.pump.part;
  if (pump && pump->law() != nullptr && !stays("fuel.content")) {
    scenario.fills.front().content = distributions::truncated(drawn(*pump->law()), 0.0, 1.0);
  }
  if (const auto& sensor = laws.sensor.part) {
    if (sensor->bias() != nullptr && !stays("sensor.bias")) {
      scenario.sensor.bias = drawn(*sensor->bias());
    }
    if (sensor->noise() && !stays("sensor.noise")) scenario.sensor.noise_sd = *sensor->noise();
  }
  const auto& gauge = laws.gauge.part;
  if (!gauge || !gauge->laws.error || stays(k_gauge_error)) return scenario;
  scenario.heel.gauge_error =
      distributions::rounded(drawn(*gauge->laws.error), scenario.heel.gauge_step_l);
  if (stays(k_click_off)) return scenario;
  if (gauge->laws.click_off) scenario.tank.click_off = drawn(*gauge->laws.click_off);
  correlate(scenario, gauge->laws.rank_correlation);
  return scenario;
}

}  // namespace blendrisk::learn
