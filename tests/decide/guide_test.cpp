#include "decide/guide.hpp"

#include <gtest/gtest.h>

#include "tests/scenarios.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Fits;

std::vector<RunOn> runs_on(const std::vector<std::optional<Fits>>& fits) {
  std::vector<estimate::Leg> legs(fits.size());
  for (std::size_t i = 0; i < fits.size(); ++i) legs[i].fits = fits[i];
  return run_on(legs);
}

TEST(RunOn, IsTheOldCalibrationAsLongAsItFits) {
  EXPECT_EQ(runs_on({Fits::both, Fits::old_one, Fits::new_one, Fits::both}),
            (std::vector{RunOn::keep, RunOn::keep, RunOn::change, RunOn::changed}));
  EXPECT_EQ(runs_on({Fits::new_one, Fits::old_one}), (std::vector{RunOn::change, RunOn::none}));
  EXPECT_EQ(runs_on({Fits::neither, Fits::new_one}), (std::vector{RunOn::none, RunOn::change}));
  EXPECT_EQ(runs_on({std::nullopt}), std::vector{RunOn::unknown});
}

Guide guide_of(const std::vector<scenario::Override>& overrides) {
  estimate::Options options;
  options.cases = std::uint64_t{1} << 14U;
  return make_guide(testing::example("van-two-fills.ini", overrides), options, {0.01, 0.1, 0.01});
}

TEST(Guide, OfSeveralFillsWorksOnlyWhereACalibrationFitsOnTheWay) {
  const Guide kept = guide_of({{"before.maximum", "58 %"}});
  EXPECT_EQ(kept.legs, std::vector{RunOn::keep});
  EXPECT_TRUE(kept.works);
  EXPECT_TRUE(kept.table.readings_l.empty());
  const Guide neither = guide_of({{"before.maximum", "50 %"}});
  EXPECT_EQ(neither.legs, std::vector{RunOn::none});
  EXPECT_TRUE(neither.chance.met && neither.chance.dry_met);
  EXPECT_FALSE(neither.works);
}

}  // namespace
}  // namespace blendrisk::decide
