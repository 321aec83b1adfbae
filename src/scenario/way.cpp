#include "scenario/way.hpp"

#include <algorithm>
#include <utility>
#include <vector>

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

namespace {

struct Node {
  double value, weight;
};

/// Of the trapezoidal rule in normal scores; one of an exact law. Draws are held at 0.
std::vector<Node> nodes_of(const Distribution& law) {
  if (distributions::is_exact(law)) return {{distributions::mean(law), 1.0}};
  constexpr int k_half = 20;
  constexpr double k_step = 0.3;
  std::vector<Node> nodes;
  for (int i = -k_half; i <= k_half; ++i) {
    const double z = k_step * i;
    nodes.push_back({std::max(distributions::quantile(law, numeric::normal_cdf(z)), 0.0),
                     numeric::normal_density(z)});
  }
  return nodes;
}

}  // namespace

double mean_over_way(const Scenario& scenario, const std::function<double(double)>& f) {
  if (!is_on_the_way(scenario)) return f(0.0);
  const std::vector<Node> uses = nodes_of(*scenario.engine.economy);
  double sum = 0.0;
  double weights = 0.0;
  for (const Node& distance : nodes_of(*scenario.heel.to_pump)) {
    for (const Node& use : uses) {
      const double both = distance.weight * use.weight;
      sum += both * f(distance.value * use.value);
      weights += both;
    }
  }
  return sum / weights;
}

bool may_burn(const Scenario& scenario, double burned_l) {
  constexpr double k_never = 1e-6;
  // Of a gauge that is read to a tenth of a litre at best, twice.
  const double open_l = std::max(0.05, scenario.heel.gauge_step_l);
  const auto chance = [&](double sign) {
    return mean_over_way(
        scenario, [&](double burned) { return sign * (burned - burned_l) <= open_l ? 1.0 : 0.0; });
  };
  return chance(1.0) >= k_never && chance(-1.0) >= k_never;
}

}  // namespace blendrisk::scenario
