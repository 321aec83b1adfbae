#include "tank/between_fills.hpp"

#include "tank/chance.hpp"

namespace blendrisk::tank {

std::vector<estimate::Leg> between_fills(const scenario::Scenario& scenario,
                                         const estimate::Options& options) {
  std::vector<estimate::Leg> legs;
  for (std::size_t fills = 1; fills < scenario.fills.size(); ++fills) {
    scenario::Scenario part = scenario;
    part.fills.resize(fills);
    const estimate::ChanceResult there = estimate_chance(part, options);
    legs.push_back({there.landed, there.below_minimum, there.above_maximum, there.outside});
  }
  return legs;
}

}  // namespace blendrisk::tank
