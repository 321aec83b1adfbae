#include "tank/landed_profile.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "distributions/families.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::tank {
namespace {

int peaks(const LandedProfile& profile) {
  int count = 0;
  for (std::size_t i = 1; i + 1 < profile.density.size(); ++i) {
    const double here = profile.density[i];
    // A flat top counts once.
    count += here > profile.density[i - 1] + 1e-6 && here > profile.density[i + 1] ? 1 : 0;
  }
  return count;
}

double mass(const LandedProfile& profile) {
  double sum = 0.0;
  for (const double density : profile.density) sum += density * profile.width;
  return sum;
}

scenario::Scenario exact_contents() {
  scenario::Scenario car = testing::example("sedan.ini");
  car.heel.content = distributions::exact(0.08);
  car.fills[0].content = distributions::exact(0.78);
  car.fills[0].hose_content = distributions::exact(0.08);
  return car;
}

// One bell stays one bell, of whatever is given: each seed gives the same points every time.
TEST(LandedProfile, IsAsSmoothAsTheLaw) {
  scenario::Scenario two_valued = exact_contents();
  two_valued.fills[0].content = distributions::empirical({0.78, 0.781});
  for (std::uint64_t seed = 1; seed <= 2; ++seed) {
    for (const scenario::Scenario& car : {exact_contents(), two_valued}) {
      const sampling::CaseInputs inputs(car);
      const LandedProfile profile = landed_profile(inputs, seed, 0.62, 0.76, 240);
      EXPECT_EQ(peaks(profile), 1) << seed;
      EXPECT_NEAR(mass(profile), 1.0, 2e-3) << seed;
    }
  }
}

// Nothing to condition on but the counts of points: two fills with exact contents.
TEST(LandedProfile, CountsAreSmoothedAsWell) {
  scenario::Scenario car = testing::example("van-two-fills.ini");
  car.heel.content = distributions::exact(0.08);
  for (scenario::Fill& fill : car.fills) fill.content = distributions::exact(0.77);
  const sampling::CaseInputs inputs(car);
  const LandedProfile profile = landed_profile(inputs, 1, 0.60, 0.77, 240);
  EXPECT_LE(peaks(profile), 2);
  // Two contents that move together, hardly less each given the other.
  const scenario::Scenario van = testing::example("van-one-supplier.ini");
  const sampling::CaseInputs one_supplier(van);
  int ups_and_downs = 0;
  const LandedProfile flat = landed_profile(one_supplier, 1, 0.59, 0.82, 240);
  for (std::size_t i = 0; i + 2 < flat.density.size(); ++i) {
    const double before = flat.density[i + 1] - flat.density[i];
    const double after = flat.density[i + 2] - flat.density[i + 1];
    // A top of 13 a unit of content: what is less than a thousandth of it is not seen.
    if (before * after < 0.0 && std::abs(before) + std::abs(after) > 0.013) ++ups_and_downs;
  }
  EXPECT_LE(ups_and_downs, 2);
  EXPECT_NEAR(mass(profile), 1.0, 5e-3);
}

// 55 L with nothing but the heel's volume uncertain, x = 6 L + e, e normal(0, 1 L): landed
// c = (0.08 x + 0.78 (55 − x))/55, whose density is that of x times 55/0.70.
TEST(LandedProfile, IsTheDensity) {
  scenario::Scenario car = exact_contents();
  car.tank.click_off = distributions::exact(55.0);
  car.fills[0].hose_volume = distributions::exact(0.0);
  const sampling::CaseInputs inputs(car);
  const LandedProfile profile = landed_profile(inputs, 1, 0.62, 0.77, 400);
  const double slope = 0.70 / 55.0;
  double furthest = 0.0;
  for (std::size_t i = 0; i < profile.content.size(); ++i) {
    const double e = (0.78 - profile.content[i]) / slope - 6.0;
    const double density = std::exp(-0.5 * e * e) / std::sqrt(2.0 * M_PI) / slope;
    furthest = std::max(furthest, std::abs(profile.density[i] - density));
  }
  // The kernel, 1.5 cells of 0.000375, widens the law's 0.0127 by a factor of 1.00098.
  EXPECT_LT(furthest, 0.002 / std::sqrt(2.0 * M_PI) / slope);
}

}  // namespace
}  // namespace blendrisk::tank
