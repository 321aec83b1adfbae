#include <gtest/gtest.h>

#include <algorithm>

#include "answer/policy.hpp"
#include "render/svg.hpp"

namespace blendrisk::answer::policy_figure_test {
namespace {

decide::PolicyYear year_of(double risk, double any, double independent) {
  decide::PolicyYear year;
  year.risk = risk;
  year.changes = 20.0;
  year.year.any.value = any;
  year.year.independent.value = independent;
  return year;
}

/// Two cars and a pump at three risks, the loosest first.
PolicyView view_of() {
  PolicyView view;
  view.cars = {"Invented van", "Invented coupe"};
  view.pumps = {"Invented pump"};
  view.result.years = {year_of(0.1, 0.8, 0.9), year_of(0.01, 0.15, 0.2),
                       year_of(0.001, 0.015, 0.02)};
  view.result.same_changes_l = {100.0, 150.0, 200.0};
  return view;
}

TEST(PolicyFigure, LinesRiseFromTheStrictestRisk) {
  const Figure figure = policy_figure(view_of());
  ASSERT_EQ(figure.lines.size(), 3U);
  EXPECT_EQ(figure.lines[0].x, (std::vector<double>{0.1, 1.0, 10.0}));
  EXPECT_EQ(figure.lines[0].y, (std::vector<double>{1.5, 15.0, 80.0}));
  EXPECT_EQ(figure.lines[1].y, (std::vector<double>{2.0, 20.0, 90.0}));
  // In percent of the most, 200 L.
  EXPECT_EQ(figure.lines[2].y, (std::vector<double>{100.0, 75.0, 50.0}));
  EXPECT_NE(figure.notes.at(0).find("200 L"), std::string::npos);
  EXPECT_TRUE(figure.x.log);
  ASSERT_EQ(figure.levels.size(), 1U);  // what to print on the wall: 1 %
  EXPECT_TRUE(figure.levels[0].vertical);
  EXPECT_EQ(figure.levels[0].at, 1.0);
}

TEST(PolicyFigure, CostsAndTheYearsRiskAreShownWhereTheyAreAsked) {
  PolicyView view = view_of();
  view.request.year_risk = 0.2;
  view.result.within = view.result.years[1];
  decide::PolicyCosts costs;
  costs.risks = {0.1, 0.01, 0.001};
  costs.fuel = {100.0, 150.0, 200.0};
  costs.misses = {2.0, 0.2, 0.02};
  costs.least.cost_of_miss = 300.0;
  view.result.costs = costs;
  view.result.years.back().unserved_places = 1;
  const Figure figure = policy_figure(view);
  ASSERT_EQ(figure.lines.size(), 4U);
  // 206, 210 and 700 in percent of 700.
  EXPECT_NEAR(figure.lines[3].y[0], 100.0 * 206.0 / 700.0, 1e-12);
  EXPECT_NEAR(figure.lines[3].y[1], 100.0 * 210.0 / 700.0, 1e-12);
  EXPECT_EQ(figure.lines[3].y[2], 100.0);
  ASSERT_EQ(figure.levels.size(), 2U);
  EXPECT_EQ(figure.levels[0].at, 20.0);
  EXPECT_EQ(figure.notes.size(), 3U);
  EXPECT_NE(figure.alt.find("15 %"), figure.alt.find("80 %"));
  const std::string picture = render::svg(figure);
  for (const FigureLine& line : figure.lines) {
    EXPECT_NE(picture.find(line.label), std::string::npos) << line.label;
  }
}

}  // namespace
}  // namespace blendrisk::answer::policy_figure_test
