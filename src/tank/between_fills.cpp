#include "tank/between_fills.hpp"

#include "tank/chance.hpp"

namespace blendrisk::tank {
namespace {

using estimate::Fits;

estimate::BandChances band_chances(const estimate::ChanceResult& result) {
  return {result.below_minimum, result.above_maximum, result.outside, result.met};
}

Fits fits(bool old_one, bool new_one) {
  if (old_one) return new_one ? Fits::both : Fits::old_one;
  return new_one ? Fits::new_one : Fits::neither;
}

}  // namespace

std::vector<estimate::Leg> between_fills(const scenario::Scenario& scenario,
                                         const estimate::Options& options) {
  std::vector<estimate::Leg> legs;
  for (std::size_t fills = 1; fills < scenario.fills.size(); ++fills) {
    scenario::Scenario part = scenario;
    part.fills.resize(fills);
    const estimate::ChanceResult there = estimate_chance(part, options);
    estimate::Leg leg{there.landed, band_chances(there), {}, {}};
    if (scenario.before.minimum || scenario.before.maximum) {
      part.limits.minimum = scenario.before.minimum;
      part.limits.maximum = scenario.before.maximum;
      leg.before = band_chances(estimate_chance(part, options));
      leg.fits = fits(leg.before->met, leg.limits.met);
    }
    legs.push_back(leg);
  }
  return legs;
}

}  // namespace blendrisk::tank
