#include "answer/figure.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <sstream>

#include "answer/curve.hpp"
#include "answer/words.hpp"
#include "render/csv.hpp"
#include "render/gnuplot_script.hpp"
#include "tests/answer/told.hpp"
#include "tests/scenarios.hpp"
#include "text/error.hpp"

namespace blendrisk::answer {
namespace {

std::vector<std::string> texts(const std::vector<Tick>& ticks) {
  std::vector<std::string> all;
  for (const Tick& tick : ticks) all.push_back(tick.text);
  return all;
}

TEST(Figure, TicksAreRound) {
  EXPECT_EQ(texts(linear_ticks(0.0, 1.0, 5)),
            (std::vector<std::string>{"0.0", "0.2", "0.4", "0.6", "0.8", "1.0"}));
  EXPECT_EQ(texts(linear_ticks(1.0, 15.0)),
            (std::vector<std::string>{"2", "4", "6", "8", "10", "12", "14"}));
  EXPECT_EQ(texts(linear_ticks(-3.0, 3.0, 6)),
            (std::vector<std::string>{"-3", "-2", "-1", "0", "1", "2", "3"}));
  for (const double scale : {1e-9, 1e-3, 1.0, 1e6}) {
    const auto ticks = linear_ticks(0.13 * scale, 0.97 * scale);
    EXPECT_GE(ticks.size(), 3U);
    EXPECT_LE(ticks.size(), 10U);
  }
}

// Nobody reads "1e-4 %": decimals as far as they can be counted, then odds.
TEST(Figure, TicksOfChancesAreWordsPeopleRead) {
  EXPECT_EQ(texts(chance_ticks(0.1, 100.0)),
            (std::vector<std::string>{"0.1 %", "1 %", "10 %", "100 %"}));
  EXPECT_EQ(texts(chance_ticks(1.0, 100.0)),
            (std::vector<std::string>{"1 %", "2 %", "5 %", "10 %", "20 %", "50 %", "100 %"}));
  EXPECT_EQ(texts(chance_ticks(1e-6, 1e-1)),
            (std::vector<std::string>{"1 in 100 million", "1 in 10 million", "0.0001 %", "0.001 %",
                                      "0.01 %", "0.1 %"}));
  const auto many = texts(chance_ticks(1e-10, 100.0));
  EXPECT_LE(many.size(), 8U);
  EXPECT_EQ(many.front(), "1 in 1 trillion");
  for (const std::string& text : many) EXPECT_EQ(text.find("e-"), std::string::npos) << text;
}

CurveView curve_of(const std::vector<double>& chances) {
  CurveView view;
  view.scenario = testing::example("sedan.ini");
  view.along.key = "heel.indicated";
  for (std::size_t i = 0; i < chances.size(); ++i) {
    view.values.push_back(2.0 + static_cast<double>(i));
    view.along.values.push_back(std::to_string(2 + i) + " L");
    decide::Cell point;
    point.chance = estimate::Estimate{
        chances[i], 0.1 * chances[i], {0.8 * chances[i], std::min(1.0, 1.2 * chances[i])}, false};
    view.points.push_back(point);
  }
  return view;
}

/// Rows of a data block of the script.
std::vector<std::vector<double>> block(const std::string& script, const std::string& name) {
  std::vector<std::vector<double>> rows;
  std::istringstream lines(script.substr(script.find("$" + name + " << END_OF_DATA\n")));
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line) && line != "END_OF_DATA") {
    std::istringstream cells(line);
    rows.emplace_back();
    for (double value = 0.0; cells >> value;) rows.back().push_back(value);
  }
  return rows;
}

// The numbers that gnuplot draws are those of the CSV, in percent.
TEST(Figure, WhatIsDrawnIsWhatTheCsvSays) {
  const CurveView view = curve_of({1e-5, 3.3e-4, 0.0123456789, 0.4});
  const std::string script =
      render::gnuplot_script(curve_figure(view, UnitSystem::metric), render::PictureFormat::svg);
  const auto drawn = block(script, "line0");
  const auto band = block(script, "line0b");
  std::istringstream csv(render::curve_csv(view));
  std::string line;
  std::getline(csv, line);
  EXPECT_EQ(line, "# " + "caution.short"_w);
  std::getline(csv, line);
  EXPECT_EQ(line, "heel.indicated,chance,standard_error,interval_95_low,interval_95_high");
  for (std::size_t i = 0; std::getline(csv, line); ++i) {
    std::replace(line.begin(), line.end(), ',', ' ');
    std::istringstream cells(line);
    double value = 0.0;
    double chance = 0.0;
    double error = 0.0;
    double low = 0.0;
    double high = 0.0;
    cells >> value >> chance >> error >> low >> high;
    EXPECT_EQ(drawn.at(i), (std::vector<double>{value, 100.0 * chance}));
    EXPECT_EQ(band.at(i), (std::vector<double>{value, 100.0 * low, 100.0 * high}));
  }
  EXPECT_EQ(drawn.size(), 4U);
}

// A chance of 1e-6 e^{4.60517 x} is 1 % at x = 2: bisection comes within 1/4096 of the distance
// from the side that is within, and the label is rounded to that side, to what a gauge shows.
TEST(Figure, CrossingOfTheRiskIsFoundAndRoundedToTheSafeSide) {
  const auto chance = [](double value) { return 1e-6 * std::exp(4.605170186 * value); };
  CurveView view = curve_of({chance(1.0), chance(4.0)});
  view.values = {1.0, 4.0};
  view.crossings = {decide::find_crossings(view.values, view.points, 0.01, chance)};
  ASSERT_EQ(view.crossings[0].size(), 1U);
  EXPECT_TRUE(view.crossings[0][0].within_below);
  EXPECT_LE(chance(view.crossings[0][0].value), 0.01);
  EXPECT_NEAR(view.crossings[0][0].value, 2.0, 3.0 / 4096.0);
  const Figure figure = curve_figure(view, UnitSystem::metric);
  ASSERT_EQ(figure.marks.size(), 1U);
  EXPECT_EQ(figure.marks[0].label, view.crossings[0][0].value < 2.0 ? "1.9 L" : "2.0 L");
  EXPECT_NE(
      testing::text_of(view, {}, UnitSystem::metric).find("up to " + figure.marks[0].label + "."),
      std::string::npos);
  ASSERT_EQ(figure.levels.size(), 1U);
  EXPECT_EQ(figure.levels[0].label, "accepted risk 1 %");
  const Figure gallons = curve_figure(view, UnitSystem::us);
  EXPECT_NEAR(gallons.marks[0].x, view.crossings[0][0].value / 3.785411784, 1e-9);
  EXPECT_NE(gallons.x.title.find("(gal)"), std::string::npos);
  // The other way round it is rounded up.
  const auto falling = [&](double value) { return chance(4.0 - value); };
  CurveView other = curve_of({falling(0.0), falling(3.0)});
  other.values = {0.0, 3.0};
  other.crossings = {decide::find_crossings(other.values, other.points, 0.01, falling)};
  EXPECT_FALSE(other.crossings[0][0].within_below);
  EXPECT_LE(falling(other.crossings[0][0].value), 0.01);
  EXPECT_TRUE(curve_figure(curve_of({0.1, 0.2, 0.3}), UnitSystem::metric).marks.empty());
}

TEST(Figure, ThinBandsAreLeftOut) {
  CurveView view = curve_of({0.1, 0.2, 0.3});
  for (decide::Cell& point : view.points) {
    point.chance->interval = {0.9999 * point.chance->chance, 1.0001 * point.chance->chance};
  }
  EXPECT_TRUE(curve_figure(view, UnitSystem::metric).lines[0].band_low.empty());
  EXPECT_FALSE(curve_figure(curve_of({0.1, 0.2}), UnitSystem::metric).lines[0].band_low.empty());
}

TEST(Figure, ChancesOfNothingLeaveThePictureAtTheBottom) {
  const Figure figure = curve_figure(curve_of({0.0, 1e-6, 0.01}), UnitSystem::metric);
  EXPECT_GT(figure.lines[0].y[0], 0.0);
  EXPECT_LT(figure.lines[0].y[0], figure.y.low);
  const Figure none = curve_figure(curve_of({0.0, 0.0}), UnitSystem::metric);
  EXPECT_LT(none.y.low, none.y.high);
}

TEST(Figure, AmountsThatDoNotExistEndTheCurve) {
  CurveView view = curve_of({0.1, 0.2, 0.3});
  view.request.show = decide::Show::amount;
  for (decide::Cell& point : view.points) point.chance.reset();
  view.points[0].litres = 40.0;
  view.points[1].litres = 45.0;
  const Figure figure = curve_figure(view, UnitSystem::metric);
  EXPECT_TRUE(std::isnan(figure.lines[0].y[2]));
  ASSERT_EQ(figure.marks.size(), 1U);
  EXPECT_EQ(figure.marks[0].x, 3.0);
  view.points[0].litres.reset();
  view.points[1].litres.reset();
  EXPECT_THROW(curve_figure(view, UnitSystem::metric), text::Error);
}

TEST(Figure, ScriptHoldsNothingOfTheMomentOrThePlace) {
  const Figure figure = curve_figure(curve_of({0.1, 0.2}), UnitSystem::metric);
  for (const auto format :
       {render::PictureFormat::svg, render::PictureFormat::png, render::PictureFormat::pdf}) {
    const std::string script = render::gnuplot_script(figure, format);
    EXPECT_EQ(script, render::gnuplot_script(figure, format));
    EXPECT_EQ(script.find("set output"), std::string::npos);
    EXPECT_EQ(script.find('`'), std::string::npos);
  }
}

}  // namespace
}  // namespace blendrisk::answer
