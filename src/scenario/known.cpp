#include "scenario/known.hpp"

#include <algorithm>
#include <utility>

#include "numeric/vector_math.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::scenario {

Scenario at_means(Scenario scenario) {
  for (const Key& key : keys()) {
    const Distribution* law = key.row ? law_of(scenario, key) : nullptr;
    if (law == nullptr) continue;
    const auto [low, high] = physical_bounds(key);
    const double mean = std::clamp(distributions::mean(*law), low, high);
    key.row->put(scenario, key.row->fill, distributions::exact(mean));
  }
  return scenario;
}

Scenario known_at(Scenario scenario, const std::string& key, double value, double score) {
  if (!scenario.correlations.empty()) scenario.known.push_back({key, score});
  const Row& row = *find_key(key)->row;
  row.put(scenario, row.fill, distributions::exact(value));
  return scenario;
}

Scenario known_at(Scenario scenario, const std::string& key, double value) {
  constexpr double k_far = 6.0;
  const Distribution& law = *law_of(scenario, *find_key(key));
  const double share =
      std::clamp(0.5 * (distributions::cdf_below(law, value) + distributions::cdf(law, value)),
                 1e-300, 1.0 - 1e-16);
  const double score = std::clamp(numeric::normal_quantile(share), -k_far, k_far);
  return known_at(std::move(scenario), key, value, score);
}

std::vector<Measured> measured(const Scenario& scenario) {
  std::vector<Measured> found;
  for (const Key& key : keys()) {
    const Distribution* law = key.row ? law_of(scenario, key) : nullptr;
    if (law == nullptr) continue;
    const std::size_t values = law->law().steps().values;
    if (values > 0) found.push_back({key.full_name(), values});
  }
  return found;
}

}  // namespace blendrisk::scenario
