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

Legs::Legs(const scenario::Scenario& scenario, const estimate::Options& options)
    : scenario_(scenario), options_(options) {
  if (scenario.fills.size() < 2) return;
  if (scenario.before.minimum || scenario.before.maximum) bands_ = 2;
  there_.resize(bands_ * (scenario.fills.size() - 1));
}

void Legs::compute(std::size_t unit) {
  scenario::Scenario part = scenario_;
  part.fills.resize(unit / bands_ + 1);
  if (unit % bands_ == 1) {
    part.limits.minimum = scenario_.before.minimum;
    part.limits.maximum = scenario_.before.maximum;
  }
  there_[unit] = estimate_landing(part, options_);
}

std::vector<estimate::Leg> Legs::told() const {
  std::vector<estimate::Leg> all;
  for (std::size_t unit = 0; unit < there_.size(); unit += bands_) {
    estimate::Leg leg{there_[unit].landed, band_chances(there_[unit]), {}, {}};
    if (bands_ == 2) {
      leg.before = band_chances(there_[unit + 1]);
      leg.fits = fits(leg.before->met, leg.limits.met);
    }
    all.push_back(leg);
  }
  return all;
}

std::vector<estimate::Leg> between_fills(const scenario::Scenario& scenario,
                                         const estimate::Options& options) {
  Legs legs(scenario, options);
  estimate::in_parallel(legs.units(), options.threads,
                        [&legs] { return [&legs](std::size_t unit) { legs.compute(unit); }; });
  return legs.told();
}

}  // namespace blendrisk::tank
