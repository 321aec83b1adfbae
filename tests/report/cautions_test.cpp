#include "report/cautions.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

namespace blendrisk::report {
namespace {

using testing::HasSubstr;

TEST(Cautions, TellWhatHurtsPeopleAndEngines) {
  std::string all;
  for (const std::string_view caution : k_cautions) all.append(caution).append("\n");
  EXPECT_THAT(all, HasSubstr("flammable"));
  EXPECT_THAT(all, HasSubstr("run down a tank in ways that the car's manual advises against"));
  EXPECT_THAT(all, HasSubstr("still burns the old fuel of the line"));
  EXPECT_THAT(all, HasSubstr("Never rely on a computed chance alone"));
  EXPECT_THAT(all, HasSubstr("read it before loading the engine"));
}

TEST(Cautions, OneIsShortEnoughForAnyPlace) {
  EXPECT_LT(k_short_caution.size(), 100U);
  for (const char c : k_short_caution) EXPECT_TRUE(c >= ' ' && c <= '~' && c != ',') << c;
  EXPECT_THAT(std::string(k_short_caution), HasSubstr("Never rely on a computed chance alone"));
  EXPECT_THAT(std::string(k_short_caution), HasSubstr("the line's old fuel"));
}

}  // namespace
}  // namespace blendrisk::report
