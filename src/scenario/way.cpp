#include "scenario/way.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "numeric/vector_math.hpp"

namespace blendrisk::scenario {

bool is_on_the_way(const Scenario& scenario) {
  return scenario.heel.to_pump && !scenario.heel.burned_l;
}

bool is_of_way(std::string_view key) {
  return key == "heel.now" || key == "heel.to-pump" || key == "engine.economy";
}

double reading_at_pump(const Scenario& scenario) {
  const Heel& heel = scenario.heel;
  if (!is_on_the_way(scenario)) return heel.indicated_l;
  return heel.indicated_l - distributions::quantile(*heel.to_pump, 0.5) *
                                distributions::quantile(*scenario.engine.economy, 0.5);
}

Scenario read_at_pump(Scenario scenario, double indicated_l) {
  scenario.heel.indicated_l = indicated_l;
  scenario.heel.to_pump.reset();
  scenario.heel.burned_l.reset();
  scenario.engine.economy.reset();
  return scenario;
}

Scenario at_pump(Scenario scenario) {
  if (!is_on_the_way(scenario)) return scenario;
  const double indicated = std::max(reading_at_pump(scenario), 0.0);
  return read_at_pump(std::move(scenario), indicated);
}

double mean_over_way(const Scenario& scenario, const std::function<double(double)>& f) {
  if (!is_on_the_way(scenario)) return f(0.0);
  constexpr std::size_t k_points = 41;
  constexpr double k_step = 0.3;
  // Exact laws take one point.
  const auto points_of = [](const Distribution& law) {
    return distributions::is_exact(law) ? std::size_t{1} : k_points;
  };
  std::array<double, k_points> share{};
  std::array<double, k_points> weight{};
  for (std::size_t i = 0; i < k_points; ++i) {
    const double z = k_step * (static_cast<double>(i) - 0.5 * (k_points - 1));
    share[i] = 0.5 * std::erfc(-z / std::sqrt(2.0));
    weight[i] = std::exp(-0.5 * z * z);
  }
  const Distribution& distance = *scenario.heel.to_pump;
  const Distribution& economy = *scenario.engine.economy;
  const std::size_t distances = points_of(distance);
  const std::size_t economies = points_of(economy);
  std::array<double, k_points> uses{};
  for (std::size_t k = 0; k < economies; ++k) {
    uses[k] = economies == 1 ? distributions::mean(economy)
                             : std::max(distributions::quantile(economy, share[k]), 0.0);
  }
  double sum = 0.0;
  double weights = 0.0;
  for (std::size_t i = 0; i < distances; ++i) {
    const double far = distances == 1 ? distributions::mean(distance)
                                      : std::max(distributions::quantile(distance, share[i]), 0.0);
    for (std::size_t k = 0; k < economies; ++k) {
      const double both = (distances == 1 ? 1.0 : weight[i]) * (economies == 1 ? 1.0 : weight[k]);
      sum += both * f(far * uses[k]);
      weights += both;
    }
  }
  return sum / weights;
}

bool may_burn(const Scenario& scenario, double burned_l) {
  constexpr double k_never = 1e-6;
  constexpr double k_half_step_l = 0.05;
  const auto chance = [&](double sign) {
    return mean_over_way(scenario, [&](double burned) {
      return sign * (burned - burned_l) <= k_half_step_l ? 1.0 : 0.0;
    });
  };
  return chance(1.0) >= k_never && chance(-1.0) >= k_never;
}

}  // namespace blendrisk::scenario
