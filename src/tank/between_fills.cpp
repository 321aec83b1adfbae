#include "tank/between_fills.hpp"

#include "estimate/parallel.hpp"
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
  if (scenario.fills.size() < 2) return {};
  const bool by_old_band = scenario.before.minimum || scenario.before.maximum;
  const std::size_t bands = by_old_band ? 2 : 1;
  const std::size_t legs = scenario.fills.size() - 1;
  std::vector<estimate::ChanceResult> there(bands * legs);
  estimate::in_parallel(there.size(), options.threads, [&] {
    return [&](std::size_t unit) {
      scenario::Scenario part = scenario;
      part.fills.resize(unit / bands + 1);
      if (unit % bands == 1) {
        part.limits.minimum = scenario.before.minimum;
        part.limits.maximum = scenario.before.maximum;
      }
      there[unit] = estimate_landing(part, options);
    };
  });
  std::vector<estimate::Leg> all;
  for (std::size_t unit = 0; unit < there.size(); unit += bands) {
    estimate::Leg leg{there[unit].landed, band_chances(there[unit]), {}, {}};
    if (by_old_band) {
      leg.before = band_chances(there[unit + 1]);
      leg.fits = fits(leg.before->met, leg.limits.met);
    }
    all.push_back(leg);
  }
  return all;
}

}  // namespace blendrisk::tank
