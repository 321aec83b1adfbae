#include "answer/run_figures.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/answer/results.hpp"
#include "tests/answer/told.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::answer {
namespace {

tank::LandedProfile profile_of(double low, double high) {
  tank::LandedProfile profile;
  profile.width = (high - low) / 20.0;
  for (int i = 0; i < 20; ++i) {
    profile.content.push_back(low + (i + 0.5) * profile.width);
    profile.density.push_back(1.0 + std::min(i, 19 - i));
  }
  return profile;
}

TEST(LandedFigure, ALimitIsDrawnOrTold) {
  const scenario::Scenario car = testing::sedan();  // at least 62.5 %
  const estimate::ChanceResult result = testing::sedan_result();
  const Figure near = landed_figure(car, result, profile_of(0.6, 0.8));
  ASSERT_EQ(near.levels.size(), 1U);
  EXPECT_EQ(near.levels[0].label, "minimum 62.5 %");
  EXPECT_TRUE(unseen(near).empty());
  EXPECT_NE(near.y.title.find("shaded: outside the limits, " + estimate_text(result.outside)),
            std::string::npos);
  const Figure far = landed_figure(car, result, profile_of(0.7, 0.8));
  EXPECT_EQ(unseen(far),
            (std::vector<std::string>{"Minimum 62.5 % lies below what this axis shows."}));
  EXPECT_EQ(far.y.title.find("shaded"), std::string::npos);
}

decide::ArriveResult waiting() {
  decide::ArriveResult result;
  result.arrival.target = {estimate::Side::below, 0.65};
  result.wait_for.reading = 0.7;
  return result;
}

RailBands bands_of(const std::vector<double>& shown) {
  RailBands bands{{{0.2, 0.3, 0.4}, {0.5, 0.6, 0.7}, {0.6, 0.7, 0.8}}, {}};
  for (const double median : shown) bands.sensor.push_back({median - 0.05, median, median + 0.05});
  return bands;
}

Figure rail_of(const decide::ArriveResult& result, const std::vector<double>& shown) {
  return rail_figure(testing::sedan(), result, {0.0, 0.5, 1.0}, bands_of(shown), {},
                     UnitSystem::metric);
}

// What the sensor shows is no content at the injectors.
TEST(RailFigure, TheSensorHasItsOwnCurve) {
  const Figure figure = rail_of(waiting(), {0.3, 0.65, 0.71});
  ASSERT_EQ(figure.lines.size(), 2U);
  EXPECT_EQ(figure.lines[0].label, "injectors");
  EXPECT_EQ(figure.lines[1].label, "sensor");
  EXPECT_EQ(figure.lines[1].y, (std::vector<double>{30.0, 65.0, 71.0}));
  ASSERT_EQ(figure.levels.size(), 2U);
  EXPECT_EQ(figure.levels[0].label, "minimum 65 % at the injectors");
  EXPECT_EQ(figure.levels[1].label, "wait until the sensor shows 70 %");
  const Figure same = rail_of(waiting(), {0.3, 0.6, 0.7});
  ASSERT_EQ(same.lines.size(), 1U);
  EXPECT_EQ(same.lines[0].label, "injectors, and what the sensor shows");
  decide::ArriveResult none = waiting();
  none.wait_for.reading.reset();
  EXPECT_EQ(rail_of(none, {0.3, 0.65, 0.71}).lines.size(), 1U);
  EXPECT_EQ(rail_of(none, {0.3, 0.65, 0.71}).levels.size(), 1U);
}

// Each row's reading holds until the next, the last one's to the end.
TEST(WaitingFigure, WhatIsNeededStandsInStepsBesideWhatTheSensorWillShow) {
  decide::ArriveResult result = waiting();
  result.waiting.rows = {{0.4, {}, 0.72, 0.2, 0.5}, {0.6, {}, 0.65, 0.9, 0.95}};
  result.waiting.until_l = 1.0;
  result.enough.burn_l = 0.5;
  EXPECT_EQ(waiting_grid(result).back(), 1.0);
  const Figure figure = waiting_figure(testing::sedan(), result, {0.0, 0.5, 1.0},
                                       bands_of({0.3, 0.65, 0.71}), {}, UnitSystem::metric);
  ASSERT_EQ(figure.lines.size(), 3U);
  EXPECT_EQ(figure.lines[0].label, "needed to switch");
  EXPECT_EQ(figure.lines[0].x, (std::vector<double>{0.4, 0.6, 0.6, 1.0}));
  EXPECT_EQ(figure.lines[0].y, (std::vector<double>{72.0, 72.0, 65.0, 65.0}));
  EXPECT_EQ(figure.lines[1].label, "sensor");
  EXPECT_EQ(figure.lines[1].band_high.back(), 76.0);
  EXPECT_EQ(figure.lines[2].y, (std::vector<double>{30.0, 60.0, 70.0}));
  ASSERT_EQ(figure.levels.size(), 2U);
  EXPECT_EQ(figure.levels[1].label, "without a sensor: 0.5 L");
  EXPECT_TRUE(figure.levels[1].vertical);
  EXPECT_TRUE(unseen(figure).empty());
}

decide::Driver driver(const std::string& key, double alone, double in_all) {
  decide::Driver one;
  one.key = key;
  one.indices.first_order = {alone, 0.01, {alone - 0.02, alone + 0.02}};
  one.indices.total = {in_all, 0.01, {in_all - 0.02, in_all + 0.02}};
  return one;
}

TEST(DriversFigure, SharesAloneAndInAllStandAsInTheText) {
  const scenario::Scenario car = blendrisk::testing::example("van-one-supplier.ini");
  decide::Drivers result;
  result.inputs = {driver("heel.gauge-error", 0.069, 0.071), driver("fuel.content", 0.762, 0.005),
                   driver("fill-2.content", 0.876, 0.119),
                   driver("tank.click-off", std::nan(""), 0.0)};
  const Figure figure = drivers_figure(car, result);
  ASSERT_EQ(figure.rows.size(), 4U);
  ASSERT_EQ(figure.bar_names.size(), 2U);
  EXPECT_TRUE(figure.bar_names[0].starts_with("alone:"));
  EXPECT_TRUE(figure.bar_names[1].starts_with("in all:"));
  EXPECT_EQ(figure.rows[0].bars[0].text, "87.6 %");
  EXPECT_EQ(figure.rows[0].bars[1].text, "11.9 %");
  EXPECT_EQ(figure.rows[1].bars[0].text, "76.2 %");
  EXPECT_EQ(figure.rows[3].bars[0].text, "the share cannot be told");
  const std::string text = testing::text_of(car, result, {}, UnitSystem::metric);
  for (std::size_t row = 0; row < 3; ++row) {
    for (const FigureBar& bar : figure.rows[row].bars) {
      EXPECT_NE(text.find(bar.text), std::string::npos) << bar.text;
      EXPECT_LE(bar.high, figure.x.high);
    }
  }
  // They move together: that the shares do not add up is said.
  ASSERT_EQ(figure.notes.size(), 1U);
  EXPECT_NE(figure.notes[0].find("neither kind adds up to 100 %"), std::string::npos);
  EXPECT_TRUE(
      drivers_figure(blendrisk::testing::example("van-two-fills.ini"), result).notes.empty());
}

}  // namespace
}  // namespace blendrisk::answer
