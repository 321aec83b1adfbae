#include "render/svg.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

// The pictures of pages; the layout has tests of its own.
namespace blendrisk::render::svg_test {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

answer::Figure figure() {
  answer::Figure figure;
  figure.title = "<b> & \"c\"";
  figure.x = {.title = "x", .low = 0.0, .high = 10.0, .log = false, .ticks = {}};
  figure.y = {.title = "y", .low = 0.0, .high = 1.0, .log = false, .ticks = {}};
  figure.lines.push_back(
      {.x = {0, 5, 7, 10}, .y = {0, 0.5, 0.7, 1}, .band_low = {}, .band_high = {}, .label = "a"});
  return figure;
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t found = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1))
    ++found;
  return found;
}

TEST(Svg, TextsAreNoMarkup) {
  const std::string drawn = svg(figure());
  EXPECT_THAT(drawn, HasSubstr("&lt;b&gt; &amp; &quot;c&quot;"));
  EXPECT_THAT(drawn, Not(HasSubstr("<b>")));
}

TEST(Svg, ACurveBreaksWhereItHasNoValue) {
  answer::Figure broken = figure();
  EXPECT_EQ(count(svg(broken), "M"), 1U);
  broken.lines[0].y[2] = std::numeric_limits<double>::quiet_NaN();
  const std::string drawn = svg(broken);
  EXPECT_EQ(count(drawn.substr(drawn.find(" d=\""), 200), "M"), 2U);
  EXPECT_THAT(drawn, Not(HasSubstr("nan")));
}

TEST(Svg, AChanceOfZeroOnALogarithmicAxisIsFarBelow) {
  answer::Figure log = figure();
  log.y = {.title = "y", .low = 1e-4, .high = 1.0, .log = true, .ticks = {}};
  const std::string drawn = svg(log);
  EXPECT_THAT(drawn, Not(HasSubstr("inf")));
  EXPECT_THAT(drawn, HasSubstr("clip-path=\"url(#axes)\""));
}

TEST(Svg, LevelsWithinTheAxesAreDrawnAlone) {
  answer::Figure level = figure();
  const std::size_t before = count(svg(level), "<line");
  level.levels = {{.at = 0.5, .label = "in"}, {.at = 7.0, .label = "off"}};
  EXPECT_EQ(count(svg(level), "<line"), before + 1);
}

}  // namespace
}  // namespace blendrisk::render::svg_test
